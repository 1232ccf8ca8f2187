//! Widths of text, and lines of a width, in the letters that are built in.

use ab_glyph::{Font as _, FontRef, GlyphId};
use firstjack_looks::letters::{REGULAR, SEMIBOLD};

/// What stands for what has been cut off.
const CUT: char = '…';

/// How much wider a text may be in the letters that a reader's system has: in DejaVu Sans, about the widest in use, words were seen to need
/// up to 1.18 times the room, and whole sentences in its bold 1.29 times that of the heavy letters.
pub const WIDER: f32 = 1.18;
/// See [`WIDER`].
pub const HEAVY_WIDER: f32 = 1.3;

/// The measures of one of the built-in fonts.
pub struct Typesetter {
    font: FontRef<'static>,
    units_per_em: f32,
}

impl Typesetter {
    /// What stands for a character that the font does not have.
    pub const UNKNOWN: char = '?';

    /// Of usual letters.
    pub fn new() -> Self {
        Self::of(REGULAR)
    }

    /// Of heavy ones.
    pub fn heavy() -> Self {
        Self::of(SEMIBOLD)
    }

    /// # Panics
    /// Never: the fonts are part of the build.
    fn of(font: &'static [u8]) -> Self {
        let font = FontRef::try_from_slice(font).expect("a built-in font");
        let units_per_em = font.units_per_em().unwrap_or(1000.0);
        Self { font, units_per_em }
    }

    /// The text in characters that the font has.
    pub fn known(&self, text: &str) -> String {
        text.chars().map(|c| if self.has(c) { c } else { Self::UNKNOWN }).collect()
    }

    pub fn has(&self, c: char) -> bool {
        self.font.glyph_id(c) != GlyphId(0)
    }

    /// Each character's glyph and its advance with kerning, as a part of the font's size.
    pub fn glyphs(&self, text: &str) -> Vec<(GlyphId, f32)> {
        let ids: Vec<GlyphId> = text.chars().map(|c| self.font.glyph_id(c)).collect();
        let kern =
            |index: usize| ids.get(index + 1).map_or(0.0, |next| self.font.kern_unscaled(ids[index], *next));
        let advance = |index: usize| self.font.h_advance_unscaled(ids[index]) + kern(index);
        (0..ids.len()).map(|index| (ids[index], advance(index) / self.units_per_em)).collect()
    }

    /// How wide the text is in a size, in the size's unit.
    pub fn width(&self, text: &str, size: f32) -> f32 {
        self.glyphs(text).iter().map(|(_, advance)| advance * size).sum()
    }

    /// As much of the text as fits, and a sign that there was more.
    pub fn cut(&self, text: &str, size: f32, width: f32) -> String {
        if self.width(text, size) <= width {
            return text.to_owned();
        }
        let mut left: Vec<char> = text.chars().collect();
        let shown = |left: &[char]| left.iter().chain([&CUT]).collect::<String>();
        while !left.is_empty() && self.width(&shown(&left), size) > width {
            left.pop();
        }
        shown(&left)
    }

    /// The text in lines of a width at most, broken between words; a word that is too long is cut.
    pub fn lines(&self, text: &str, size: f32, width: f32) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for piece in unbroken(text) {
            let longer = lines.last().map(|line| format!("{line} {piece}"));
            match longer.filter(|longer| self.width(longer, size) <= width) {
                Some(longer) => *lines.last_mut().expect("has a last one") = longer,
                None => lines.push(self.cut(&piece, size, width)),
            }
        }
        lines
    }
}

/// The words of a text, a number together with its unit.
fn unbroken(text: &str) -> Vec<String> {
    let is_number = |piece: &String| piece.chars().all(|c| c.is_ascii_digit() || ".,".contains(c));
    let mut pieces: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match pieces.last_mut().filter(|last| is_number(last)) {
            Some(number) => *number += &format!(" {word}"),
            None => pieces.push(word.to_owned()),
        }
    }
    pieces
}

/// A text of so many characters at most.
pub fn shortened(text: &str, most: usize) -> String {
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if flat.chars().count() <= most {
        return flat;
    }
    let kept: String = flat.chars().take(most.saturating_sub(1)).collect();
    format!("{}{CUT}", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_every_word_and_their_width() {
        let typesetter = Typesetter::new();
        let text =
            "Put the buffer box first, straight behind the pickup: what follows its buffer does not load it.";
        let lines = typesetter.lines(text, 10.0, 120.0);
        assert!(lines.len() > 2);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().all(|line| typesetter.width(line, 10.0) <= 120.0), "{lines:?}");
        assert!(typesetter.lines("  ", 10.0, 120.0).is_empty());
        assert_eq!(unbroken("it costs 3 dB at 1.2 kHz"), ["it", "costs", "3 dB", "at", "1.2 kHz"]);
        let cut = typesetter.lines(&"x".repeat(100), 10.0, 120.0);
        assert!(
            cut.len() == 1 && cut[0].ends_with(CUT) && typesetter.width(&cut[0], 10.0) <= 120.0,
            "{cut:?}"
        );
    }

    #[test]
    fn what_is_cut_says_so() {
        assert_eq!(shortened("one  two\nthree", 20), "one two three");
        assert_eq!(shortened("one two three", 8), "one two…");
        assert_eq!(shortened("ééé", 3), "ééé");
        let typesetter = Typesetter::new();
        assert_eq!(typesetter.cut("tuner", 9.0, 100.0), "tuner");
        assert_eq!(typesetter.known("Ω 中 ä"), "Ω ? ä");
    }
}
