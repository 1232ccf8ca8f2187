use dsp_core::preset::{Crew, LinePolarity, Phantom, Preset};
use firstjack_words::{Language, Words};

use super::drawing::{Shape, WIDTH};
use super::page::{A4, Ink, Page};
use super::{Note, Subject, has_glyph};
use crate::arguments::StringsArguments;
use crate::source::{Source, Strings};
use crate::typeset::Typesetter;

fn note(setups: &str, language: Language) -> Note {
    note_for(setups, &Crew::default(), language)
}

/// As much as a crew can have to know.
fn long_crew() -> Crew {
    let long = Some("Wide Mill ".repeat(60));
    Crew {
        phantom: Some(Phantom::On),
        pad: long.clone(),
        polarity: Some(LinePolarity::Reversed),
        line: long.clone(),
        feed: long.clone(),
        contact: long.clone(),
        remarks: long,
    }
}

fn note_for(setups: &str, crew: &Crew, language: Language) -> Note {
    let source = Source::from_preset(Preset::from_toml(setups).unwrap());
    let arguments = StringsArguments { instrument: None, strings: None, a4: 440.0 };
    let subject = Subject {
        title: source.title.as_deref().unwrap_or_default(),
        venue: None,
        pickups: &source.pickups,
        setups: &source.setups,
        crew,
        chosen: None,
        strings: &Strings::new(&arguments, source.instrument.as_deref()).unwrap(),
        max_loss_db: 1.0,
    };
    Note::new(&subject, &Words::new(language))
}

/// As much of everything as there can be: names, boxes, setups, facts.
fn crowded(boxes: usize) -> String {
    let name = "Wide Mill ".repeat(12);
    let link = |index: usize| {
        format!("{{ cable = '1 m' }}, {{ box = 'box {index} {name}', input = '1M', thru = 'after' }}")
    };
    let links: Vec<String> = (0..boxes).map(link).collect();
    let setup = |index: usize| {
        format!(
            "[[setup]]\nname = 'setup {index} {name}'\nvenue = '{name}'\nchain = [{{ box = 'x {name}', blocking = '22n', thru = 'before', \
             transformer = {{ primary = '47 H', ratio = '12', secondary = '1k5' }} }}, {{ box = 'y {name}', blocking = '1n', thru = \
             'before', transformer = {{ primary = '47 H', ratio = '12', secondary = '1k5' }} }}, {}]\n",
            links.join(", ")
        )
    };
    let coil = "[[blend]]\ninductance = '3.3 H'\nresistance = '6.8 kΩ'\nwinding = '100 pF'\n";
    let head = format!("version = 3\nname = '{name}{name}'\nrecorded = {{ load = 'none' }}\n{coil}{coil}");
    head + &(0..30).map(setup).collect::<String>()
}

/// Where an ink ends to the left, to the right and below.
fn ends(ink: &Ink, typesetter: &Typesetter) -> (f32, f32, f32) {
    match ink {
        Ink::Text { x, y, size, text, .. } => (*x, x + typesetter.width(text, *size), *y),
        Ink::Frame { x, y, width, height } => (*x, x + width, y + height),
        Ink::Drawn { x, y, shape } => match shape {
            Shape::Outline { x: left, y: top, width, height, .. } => {
                (x + left, x + left + width, y + top + height)
            }
            Shape::Buffer { x: left, y: top } => (x + left, x + left + 3.0, y + top + 7.0),
            Shape::Text { x: middle, y: base, size, text } => {
                let half = typesetter.width(text, *size) / 2.0;
                (x + middle - half, x + middle + half, y + base)
            }
            Shape::Wire { points, .. } => {
                let (xs, ys): (Vec<f32>, Vec<f32>) = points.iter().copied().unzip();
                let most = |values: &[f32]| values.iter().copied().fold(f32::MIN, f32::max);
                (x + xs.iter().copied().fold(f32::MAX, f32::min), x + most(&xs), y + most(&ys))
            }
        },
    }
}

#[test]
fn everything_stands_within_the_margins() {
    let typesetter = Typesetter::new();
    let (left, right) = ((A4.0 - WIDTH) / 2.0, (A4.0 + WIDTH) / 2.0);
    let mut sizes = Vec::new();
    for boxes in [0, 1, 4, 6, 7, 12, 13, 14, 40] {
        for language in [Language::English, Language::German] {
            let page = Page::new(&note_for(&crowded(boxes), &long_crew(), language), &typesetter);
            assert!(page.fits, "{boxes} boxes, {language:?}");
            for ink in &page.inks {
                let (from, to, below) = ends(ink, &typesetter);
                assert!(from >= left - 0.1 && to <= right + 0.1, "{boxes} boxes, {language:?}: {ink:?}");
                assert!(below <= A4.1 - 30.0, "{boxes} boxes, {language:?}: {ink:?}");
            }
            let size = |ink: &Ink| if let Ink::Text { size, .. } = ink { Some(*size) } else { None };
            sizes.push(page.inks.iter().filter_map(size).fold(f32::MIN, f32::max));
        }
    }
    assert!(sizes.iter().any(|size| *size < 19.0), "the judge itself: something had to shrink");
}

/// No two texts of a drawing cover each other, nor a text the edge of its block.
#[test]
fn no_text_covers_another() {
    let typesetter = Typesetter::new();
    for boxes in [0, 2, 6, 12, 40] {
        let drawing = note(&crowded(boxes), Language::German).drawing;
        let texts: Vec<(f32, f32, f32, f32)> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Text { x, y, size, text } => {
                    let half = typesetter.width(text, *size) / 2.0;
                    Some((x - half, x + half, y - size * 0.7, *y))
                }
                _ => None,
            })
            .collect();
        for (index, one) in texts.iter().enumerate() {
            for other in &texts[index + 1..] {
                let apart = one.1 <= other.0 || other.1 <= one.0 || one.3 <= other.2 || other.3 <= one.2;
                assert!(apart, "{boxes} boxes: {one:?} {other:?}");
            }
        }
    }
}

/// The keys of a page's sounds: the take as recorded first, then the setups in the file's order.
#[test]
fn offers_carry_the_keys_of_their_sounds() {
    let note = note(include_str!("../../../presets/courtyard.toml"), Language::English);
    let keys: Vec<String> = (0..=6).map(|index| format!("key{index}")).collect();
    let html = note.html(&keys);
    assert!(
        html.contains("<li data-key=\"key6\"><strong>low A loses 0.7 dB through the buffer box"),
        "{html}"
    );
    assert!(html.contains("<li data-key=\"key1\">low A loses 38 dB through the passive box</li>"), "{html}");
    assert!(!html.contains("key0") && !note.html(&[]).contains("data-key"), "{html}");
}

/// The page's figures and the built-in font: nothing is written that the PDF cannot show.
#[test]
fn the_font_has_every_character() {
    for language in Language::ALL {
        let words = Words::new(language);
        let texts = words.all("").map(|(_, text)| text).chain(["ΩµFHdBkM%·–…?"]);
        for c in texts.flat_map(str::chars) {
            assert!(has_glyph(c), "{c:?} in {language:?}");
        }
    }
}
