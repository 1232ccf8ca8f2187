use dsp_core::preset::Preset;
use firstjack_words::{Language, Words};

use super::Sheet;
use crate::arguments::StringsArguments;
use crate::paper::Shape;
use crate::paper::bounds::{assert_clear, assert_within};
use crate::reamp::Kind;
use crate::reamp::level::Interface;
use crate::reamp::told::{Peaks, Situation, Told};
use crate::render::Recorded;
use crate::source::{Source, Strings};
use crate::typeset::Typesetter;

/// The sheet of a file's first setup, with a hot output unless nothing is known of it.
fn sheet(setups: &str, output: Option<&str>, language: Language) -> Sheet {
    let source = Source::from_preset(Preset::from_toml(setups).unwrap());
    let arguments = StringsArguments { instrument: None, strings: None, a4: 440.0 };
    let strings = Strings::new(&arguments, source.instrument.as_deref()).unwrap();
    let recorded = Recorded::new(&source, None, strings, "24", None).unwrap();
    let interface = output
        .map(|output| Interface { recorded: "10 dBu".parse().unwrap(), played: output.parse().unwrap() });
    let usual = Situation::usual(&recorded, &source.setups[0], source.title.as_deref());
    let situation = Situation { interface, ..usual };
    let peaks = Peaks { file: Some(0.03), capacitor: Some(0.3) };
    let told = Told::new(&situation, situation.ways(), peaks);
    Sheet::new(&told, Kind::Capacitor, Some("a file.wav".as_ref()), &Words::new(language))
}

/// Names, chains and tunings as long as they can be, and each kind of pickup.
fn files() -> Vec<String> {
    let name = "Wide Mill ".repeat(12);
    let file = |pickup: &str, chain: &str| {
        format!(
            "version = 5\nname = '{name}'\ninstrument = 'guitarron'\n{pickup}\nrecorded = '22M'\n[[setup]]\nname = '{name}'\nchain = [{chain}]\n"
        )
    };
    let link = |index: usize| {
        format!(
            "{{ cable = '1 m ±20 %' }}, {{ box = 'box {index} {name}', input = '1M ±20 %', thru = 'before' }}"
        )
    };
    let long: Vec<String> = (0..3).map(link).collect();
    vec![
        file("pickup = '680p'", "{ box = 'combo', input = '470k' }"),
        file("pickup = '517p ±30 %'", &long.join(", ")),
        file("pickup = { inductance = '4.7 H', resistance = '8k2' }", &long.join(", ")),
    ]
}

#[test]
fn it_fits_one_page_whatever_is_on_it() {
    let typesetter = Typesetter::new();
    for language in Language::ALL {
        for file in files() {
            for output in [None, Some("24 dBu"), Some("-60 dBu")] {
                let page = sheet(&file, output, language).page(&typesetter);
                assert!(page.fits, "{language:?} {output:?} {file}");
                assert_within(&page, &typesetter);
            }
        }
    }
}

/// No text covers another one, and none but a name is cut.
#[test]
fn its_drawings_are_clear() {
    let typesetter = Typesetter::new();
    for language in Language::ALL {
        for file in files() {
            let sheet = sheet(&file, Some("24 dBu"), language);
            let drawings = sheet.ways.iter().filter_map(|way| way.drawing.as_ref());
            for drawing in drawings {
                assert_clear(drawing, &typesetter);
                for shape in &drawing.shapes {
                    let Shape::Text { x, size, text, .. } = shape else { continue };
                    let half = typesetter.width(text, *size) / 2.0;
                    assert!(!text.contains('…') || text.starts_with("box"), "{language:?}: {text}");
                    assert!(x - half >= 0.0 && x + half <= drawing.width, "{language:?}: {text}");
                }
            }
        }
    }
}
