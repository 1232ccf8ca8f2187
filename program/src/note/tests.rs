use dsp_core::preset::{Crew, LinePolarity, Phantom, Preset};
use firstjack_words::{Language, Words};

use super::{Note, Subject, has_glyph};
use crate::arguments::StringsArguments;
use crate::paper::Ink;
use crate::paper::bounds::{assert_clear, assert_within};
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

#[test]
fn everything_stands_within_the_margins() {
    let typesetter = Typesetter::new();
    let mut sizes = Vec::new();
    for boxes in [0, 1, 4, 6, 7, 12, 13, 14, 40] {
        for language in [Language::English, Language::German] {
            let page = note_for(&crowded(boxes), &long_crew(), language).page(&typesetter);
            assert!(page.fits, "{boxes} boxes, {language:?}");
            assert_within(&page, &typesetter);
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
        assert_clear(&drawing, &typesetter);
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
