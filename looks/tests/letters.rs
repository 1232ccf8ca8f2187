//! What the fonts have in them.

use ab_glyph::{Font, FontRef};
use firstjack_looks::letters::{LICENCE, REGULAR, SEMIBOLD};

fn fonts() -> [FontRef<'static>; 2] {
    [REGULAR, SEMIBOLD].map(|bytes| FontRef::try_from_slice(bytes).expect("a font"))
}

fn advance(font: &FontRef, c: char) -> f32 {
    font.h_advance_unscaled(font.glyph_id(c))
}

/// Columns of figures stand, whatever is in them, and signs count as figures do.
#[test]
fn figures_are_equally_wide() {
    for font in fonts() {
        for c in "123456789+−±\u{2007}".chars() {
            assert_eq!(advance(&font, c), advance(&font, '0'), "{c}");
        }
        for (one, other) in "0123456789".chars().flat_map(|one| ".,−17 ".chars().map(move |c| (one, c))) {
            let [one, other] = [one, other].map(|c| font.glyph_id(c));
            assert_eq!((font.kern_unscaled(one, other), font.kern_unscaled(other, one)), (0.0, 0.0));
        }
    }
}

/// Names of people's setups, units, and what a window draws with letters; all of Latin-1 and Latin Extended-A but a letter that Unicode deprecates.
#[test]
fn nothing_that_is_written_is_missing() {
    let written = ('!'..='~').chain('\u{a1}'..='\u{17f}').filter(|c| !['\u{ad}', '\u{149}'].contains(c));
    let written = written.chain("ΩΩµμπ€−–—‘’“”„‚…·•±×÷≤≥≈≠∞√°²³←↑→↓▲▼◀▶▴▾◂▸●○✓✗⌘⇧ẞșțёЖґ\u{202f}".chars());
    for c in written {
        for font in fonts() {
            assert!(font.glyph_id(c).0 != 0, "{c} (U+{:04X})", u32::from(c));
        }
    }
}

#[test]
fn letters_are_kerned() {
    for font in fonts() {
        assert!(font.kern_unscaled(font.glyph_id('T'), font.glyph_id('o')) < 0.0);
    }
}

/// Small enough to be part of every window, and not the same twice.
#[test]
fn two_weights_are_small() {
    assert!([REGULAR, SEMIBOLD].iter().all(|font| font.len() < 120 * 1024));
    let [regular, heavy] = fonts();
    assert!(advance(&heavy, 'm') > advance(&regular, 'm'));
    assert!(LICENCE.contains("SIL OPEN FONT LICENSE Version 1.1") && LICENCE.starts_with("Copyright"));
}
