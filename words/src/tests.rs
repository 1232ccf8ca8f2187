use std::collections::BTreeSet;
use std::path::Path;

use dsp_core::circuit::{Chain, Pickup};
use dsp_core::kit::TypedLoad;
use dsp_core::preset::Instrument;
use dsp_core::response::{InputNeeded, Keeps, Leak, Range, Response};
use dsp_core::units::Pitch;

use super::{ENGLISH, Language, Piece, Texts, Words, pieces};

/// Tables whose texts are asked for by ids that are put together.
const PUT_TOGETHER: [&str; 3] = ["instrument.", "page.", "pitch."];

fn names(text: &str) -> BTreeSet<&str> {
    let name = |piece| if let Piece::Name(name) = piece { Some(name) } else { None };
    pieces(text).filter_map(name).collect()
}

fn all(language: Language) -> &'static Texts {
    Words::new(language).texts()
}

#[test]
fn every_language_has_the_same_texts_with_the_same_names() {
    for language in Language::ALL {
        let ids: Vec<&String> = all(language).keys().collect();
        assert_eq!(ids, ENGLISH.keys().collect::<Vec<_>>(), "{language:?}");
        for (id, text) in all(language) {
            assert_eq!(names(text), names(&ENGLISH[id]), "{language:?}, {id}");
            assert!(!text.trim().is_empty(), "{language:?}, {id}");
            let is_brace = |c: char| "{}".contains(c);
            assert!(
                pieces(text).all(|piece| !matches!(piece, Piece::Plain(plain) if plain.contains(is_brace))),
                "{id}"
            );
        }
    }
}

/// What is written where texts are asked for: every file of code and templates.
fn code() -> String {
    fn read(folder: &Path, code: &mut String) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.to_string_lossy().into_owned();
            if path.is_dir() {
                read(&path, code);
            } else if !name.ends_with("words/src/tests.rs") {
                *code += &std::fs::read_to_string(&path).unwrap_or_default();
            }
        }
    }
    let mut code = String::new();
    for folder in ["words", "program", "plugin"] {
        read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(folder).join("src"), &mut code);
    }
    code
}

#[test]
fn no_text_is_missing_and_none_is_unused() {
    let code = code();
    let of_table = |id: &String| PUT_TOGETHER.iter().any(|table| id.starts_with(table));
    for id in ENGLISH.keys().filter(|id| !of_table(id)) {
        assert!(code.contains(&format!("\"{id}\"")), "{id} is unused");
    }
    let is_part = |text: &str| text.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    let template = |quoted| -> Option<(&str, &str)> {
        let quoted: &str = quoted;
        let (before, rest) = quoted.split_once("${")?;
        let (_, after) = rest.split_once('}')?;
        (!before.is_empty() && is_part(before) && is_part(after)).then_some((before, after))
    };
    let templates: Vec<(&str, &str)> = code.split('`').filter_map(template).collect();
    // The script asks for its texts without the table's name.
    for id in ENGLISH.keys().filter_map(|id| id.strip_prefix("page.")) {
        let quoted = [format!("\"{id}\""), format!("'{id}'"), format!("\"page.{id}\"")];
        // Of `key_${id}_does` the script has what is put in between, quoted too.
        let is_put_together = templates.iter().any(|(before, after)| {
            let between = id.strip_prefix(before).and_then(|rest| rest.strip_suffix(after));
            between.is_some_and(|between| code.contains(&format!("'{between}'")))
        });
        assert!(is_put_together || quoted.iter().any(|quoted| code.contains(quoted)), "page.{id} is unused");
    }
    let tables: BTreeSet<&str> = ENGLISH.keys().filter_map(|id| id.split('.').next()).collect();
    let mut asked = 0;
    for (quoted, _) in code.split('"').zip(code.split('"').skip(1)).skip(1) {
        let is_id = |c: char| c.is_ascii_lowercase() || c == '_' || c == '.';
        let table = quoted.split_once('.').map(|(table, _)| table);
        if table.is_some_and(|table| tables.contains(table))
            && quoted.chars().all(is_id)
            && !quoted.ends_with('.')
        {
            let is_file = [".toml", ".html", ".css", ".js", ".rs", ".wav", ".pdf"]
                .iter()
                .any(|end| quoted.ends_with(end));
            assert!(is_file || ENGLISH.contains_key(quoted), "{quoted} is missing");
            asked += usize::from(!is_file);
        }
    }
    assert!(asked > 80, "the judge itself: {asked}");
}

#[test]
fn what_is_put_together_is_there() {
    for instrument in Instrument::all() {
        assert_eq!(ENGLISH.get(&format!("instrument.{}", instrument.id)), Some(&instrument.name));
    }
    let known = ENGLISH.keys().filter(|id| id.starts_with("instrument.")).count();
    assert_eq!(known, Instrument::all().len() + 1, "and a tuning of one's own");
    for letter in ["A", "B", "C", "D", "E", "F", "G"] {
        for accidental in ["", "#", "b"] {
            assert_eq!(ENGLISH[&format!("pitch.{letter}{accidental}")], format!("{letter}{accidental}"));
        }
    }
}

#[test]
fn what_is_filled_in_stays_as_it_is() {
    let words = Words::new(Language::English);
    let said = words.say("verdict.through", &[("name", "{name} <b>{db}"), ("db", "9")]);
    assert_eq!(said, "through the {name} <b>{db}");
    assert_eq!(words.get("no.such"), "");
    assert_eq!(words.through("our tuner"), "through our tuner");
    assert_eq!(words.through("ours"), "through the ours");
    assert_eq!(words.through("My box"), "through My box");
    let tie = words.say("advice.tie", &[("first", "our tuner"), ("second", "the combo")]);
    assert!(tie.starts_with("Our tuner is about as good as the combo"), "{tie}");
    let of_table: Vec<(&str, &str)> = words.all("language.").collect();
    assert_eq!(of_table, [("code", "en")]);
}

/// From the loss of 680 pF into 1 MΩ at 55 Hz (textbook RC: 12.8 dB) to what no pickup has.
#[test]
fn a_loss_is_said_as_the_trade_does() {
    let (words, low_a): (_, Pitch) = (Words::ENGLISH, "A1".parse().unwrap());
    let into = |load: &str| words.into_load(&TypedLoad::from(&load.parse().unwrap()));
    for (db, place, said) in [
        (12.8, words.through("tuner"), "low A loses 13 dB through the tuner"),
        (0.16, into("22M"), "low A loses 0.2 dB into 22 MΩ"),
        (0.01, into("none"), "low A loses less than 0.1 dB into no load"),
        (-3.0, into("50H"), "low A gains 3.0 dB into 50 H"),
        (f64::INFINITY, into("1M"), "low A loses everything into 1 MΩ"),
    ] {
        assert_eq!(words.loses(&low_a, db, &place), said);
    }
}

/// From what both ends are said to be, as a person would put it.
#[test]
fn ranges_are_said_in_one_breath() {
    let (words, low_a): (_, Pitch) = (Words::ENGLISH, "A1".parse().unwrap());
    let german = Words::new(Language::German);
    for (low, high, said, gesagt) in [
        (10.7, 15.8, "low A loses 11 to 16 dB", "Das tiefe A verliert 11 bis 16 dB"),
        (8.37, 12.3, "low A loses 8.4 to 12 dB", "Das tiefe A verliert 8,4 bis 12 dB"),
        (12.6, 13.4, "low A loses 13 dB", "Das tiefe A verliert 13 dB"),
        (0.01, 0.44, "low A loses up to 0.4 dB", "Das tiefe A verliert bis zu 0,4 dB"),
        (0.0, 0.04, "low A loses less than 0.1 dB", "Das tiefe A verliert weniger als 0,1 dB"),
        (11.0, f64::INFINITY, "low A loses 11 dB to everything", "Das tiefe A verliert 11 dB bis alles"),
        (-4.0, -2.0, "low A gains 2.0 to 4.0 dB", "Das tiefe A gewinnt 2,0 bis 4,0 dB"),
        (-0.02, 3.0, "low A loses up to 3.0 dB", "Das tiefe A verliert bis zu 3,0 dB"),
        (
            -1.0,
            2.0,
            "low A loses up to 2.0 dB or gains up to 1.0 dB",
            "Das tiefe A verliert bis zu 2,0 dB oder gewinnt bis zu 1,0 dB",
        ),
    ] {
        let range = Range { low, high };
        assert_eq!(
            words.loses_between(&low_a, range, &words.through("tuner")),
            format!("{said} through the tuner")
        );
        assert_eq!(
            german.loses_between(&low_a, range, &german.through("tuner")),
            format!("{gesagt} über „tuner“")
        );
    }
    for (low, high, said) in [
        (180.2, 334.0, "180 to 334 Hz"),
        (900.0, 1200.0, "900 Hz to 1.2 kHz"),
        (3300.0, 4600.0, "3.3 to 4.6 kHz"),
        (9000.0, f64::INFINITY, "9.0 kHz and above"),
    ] {
        assert_eq!(words.hz_range(Range { low, high }), said);
    }
}

/// 680 pF within 30 % into 1 MΩ at 55 Hz: 10.7 to 15.8 dB by the textbook's RC.
#[test]
fn a_chain_within_tolerances_is_told_as_a_range() {
    let pickup = Pickup::new("680p ±30 %".parse().unwrap()).into();
    let (chain, lowest) = (Chain::from(&"1M".parse().unwrap()), "A1".parse().unwrap());
    let words = Words::ENGLISH;
    let verdict = words.verdict_of(&pickup, &chain, &lowest, 55.0, &words.through("tuner"));
    assert_eq!(verdict, "low A loses 11 to 16 dB through the tuner");
    assert_eq!(words.pickup_short(pickup.pickup(0)), "680 pF ±30 % pickup");
}

#[test]
fn frequencies_and_resistances_are_said_to_as_many_figures_as_matter() {
    let words = Words::ENGLISH;
    for (hz, said) in [
        (4.82, "4.8 Hz"),
        (26.9, "27 Hz"),
        (139.6, "140 Hz"),
        (999.6, "1.0 kHz"),
        (4149.0, "4.1 kHz"),
        (12_345.0, "12 kHz"),
    ] {
        assert_eq!(words.hz(hz), said);
    }
    assert_eq!((words.ohms(216e3), words.ohms(8.401e6)), ("216 kΩ".to_owned(), "8.4 MΩ".to_owned()));
}

#[test]
fn links_are_called_by_their_values_boxes_by_their_names() {
    let chain = Chain::from(&"470k || 6 m || 100p || 50H".parse().unwrap());
    let names: Vec<String> = chain.links().map(|(link, _)| Words::ENGLISH.link_name(link)).collect();
    assert_eq!(names, ["470 kΩ", "6 m cable", "100 pF", "50 H"]);
}

#[test]
fn german_says_it_in_german() {
    let words = Words::new(Language::German);
    let pickup = Pickup::new("680 pF".parse().unwrap());
    let chain = Chain::from(&"1M".parse().unwrap());
    let response = Response::new(&pickup.into(), &chain);
    let lowest: Pitch = "A1".parse().unwrap();
    // 12.8 dB by the textbook's RC.
    let verdict = words.verdict(&response, &lowest, 55.0, &words.through("tuner"));
    assert_eq!(verdict, "Das tiefe A verliert 13 dB über „tuner“");
    let needed = InputNeeded {
        from_ohms: Some(8.35e6),
        buffer_before: None,
        leak: None,
        to_ohms: None,
        keeps: Keeps::Level(0.0),
    };
    assert_eq!(
        words.asked(&needed, 0.5),
        "einen Eingangswiderstand von mindestens 8,4 MΩ (tiefe Saite höchstens 0,5 dB leiser)"
    );
    let leaking = InputNeeded { from_ohms: None, leak: Some(Leak::Pickup(1e6)), ..needed };
    assert_eq!(
        words.asked(&leaking, 0.5),
        "kein Eingang ist hochohmig genug, solange der Tonabnehmer einen Leckwiderstand von 1 MΩ hat: instand setzen lassen"
    );
    let notes = ["B0", "Bb2", "F#3", "E♭2"].map(|pitch| words.pitch(&pitch.parse().unwrap()));
    assert_eq!(notes, ["H0", "B2", "Fis3", "Es2"]);
    assert_eq!((words.db(0.01), words.db(f64::INFINITY)), ("weniger als 0,1 dB".into(), "alles".into()));
}
