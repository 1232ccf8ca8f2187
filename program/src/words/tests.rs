use std::collections::BTreeSet;
use std::path::Path;

use clap::ValueEnum;
use dsp_core::circuit::{Blended, Chain, Pickup, Pickups, Polarity};
use dsp_core::preset::{Preset, instruments};
use dsp_core::response::{InputNeeded, Keeps, Response, facts, headline, input_needed};
use dsp_core::units::Pitch;

use super::{ENGLISH, Language, Piece, Texts, Words, pieces};
use crate::note::has_glyph;

/// Tables whose texts are asked for by ids that are put together.
const PUT_TOGETHER: [&str; 3] = ["instrument.", "page.", "pitch."];

fn names(text: &str) -> BTreeSet<&str> {
    let name = |piece| if let Piece::Name(name) = piece { Some(name) } else { None };
    pieces(text).filter_map(name).collect()
}

fn all(language: Language) -> &'static Texts {
    Words::new(language).0
}

#[test]
fn every_language_has_the_same_texts_with_the_same_names() {
    for language in Language::value_variants() {
        let ids: Vec<&String> = all(*language).keys().collect();
        assert_eq!(ids, ENGLISH.keys().collect::<Vec<_>>(), "{language:?}");
        for (id, text) in all(*language) {
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
            } else if !name.ends_with("words/tests.rs") {
                *code += &std::fs::read_to_string(&path).unwrap_or_default();
            }
        }
    }
    let mut code = String::new();
    read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut code);
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
    for instrument in instruments() {
        assert_eq!(ENGLISH.get(&format!("instrument.{}", instrument.id)), Some(&instrument.name));
    }
    let known = ENGLISH.keys().filter(|id| id.starts_with("instrument.")).count();
    assert_eq!(known, instruments().len() + 1, "and a tuning of one's own");
    for letter in ["A", "B", "C", "D", "E", "F", "G"] {
        for accidental in ["", "#", "b"] {
            assert_eq!(ENGLISH[&format!("pitch.{letter}{accidental}")], format!("{letter}{accidental}"));
        }
    }
}

/// The page's figures and the built-in font: nothing is written that the PDF cannot show.
#[test]
fn the_font_has_every_character() {
    for language in Language::value_variants() {
        let texts = all(*language).values().map(String::as_str).chain(["ΩµFHdBkM%·–…?"]);
        for c in texts.flat_map(str::chars) {
            assert!(has_glyph(c), "{c:?} in {language:?}");
        }
    }
}

#[test]
fn what_is_filled_in_stays_as_it_is() {
    let words = Words::new(Language::English);
    let said = words.say("verdict.place", &[("name", "{name} <b>{db}"), ("db", "9")]);
    assert_eq!(said, "through the {name} <b>{db}");
    assert_eq!(words.get("no.such"), "");
    let of_table: Vec<(&str, &str)> = words.all("language.").collect();
    assert_eq!(of_table, [("code", "en")]);
}

fn presets() -> impl Iterator<Item = Preset> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../presets");
    let texts = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| std::fs::read_to_string(entry.unwrap().path()).unwrap());
    texts.filter_map(|text| Preset::from_toml(&text).ok())
}

/// What `firstjack tell` says, here by the templates: verdict, sentences, what to ask for.
#[test]
fn english_is_that_of_the_rest_of_the_program() {
    let words = Words::new(Language::English);
    let (mut seen, mut gains) = (BTreeSet::new(), false);
    let mut check = |pickups: &Pickups, chain: &Chain, name: &str| {
        for lowest in ["E1", "A1", "E2", "D3"] {
            let lowest: Pitch = lowest.parse().unwrap();
            let hz = lowest.hz(440.0);
            let response = Response::new(pickups, chain);
            let expected = headline(&response, &format!("through the {name}"), &lowest, hz);
            assert_eq!(words.verdict(&response, &lowest, hz, name), expected);
            gains |= expected.contains(" gains ");
            for fact in facts(pickups, chain, hz) {
                assert_eq!(words.fact(&fact, &lowest), fact.english(&lowest));
                seen.insert(
                    format!("{fact:?}").chars().take_while(char::is_ascii_alphabetic).collect::<String>(),
                );
            }
            for max_loss_db in [0.5, 1.0, 40.0] {
                let needed = input_needed(pickups, chain, hz, max_loss_db);
                let expected = match needed.from_ohms {
                    Some(_) => format!("{needed} ({})", needed.reason(max_loss_db)),
                    None => needed.to_string(),
                };
                assert_eq!(words.asked(&needed, max_loss_db), expected);
            }
        }
    };
    for preset in presets() {
        for setup in &preset.setups {
            check(&preset.pickups.with_positions(setup.positions), &setup.chain, &setup.name);
        }
        check(&preset.pickups, &Chain::default(), "nothing");
        if let Pickups::Blend(mut blend) = preset.pickups {
            blend.0[1].polarity = Polarity::Same;
            check(&Pickups::Blend(blend), &preset.setups[0].chain, "the wrong way round");
            // Two of a kind, one turned round.
            blend.0[1] = Blended { pickup: blend.0[0].pickup, polarity: Polarity::Reversed, ..blend.0[0] };
            check(&Pickups::Blend(blend), &preset.setups[0].chain, "nothing at all");
        }
        for load in ["50 H", "50 H || 47k", "3 m"] {
            check(&preset.pickups, &Chain::from(&load.parse().unwrap()), load);
        }
    }
    // It resonates at 152 Hz, near D3.
    let resonant = Pickup::new("22n".parse().unwrap()).into();
    check(&resonant, &Chain::from(&"50 H".parse().unwrap()), "inductance");
    assert!(gains, "the judge itself");
    let kinds = ["Blocking", "Cancel", "Controls", "EachAlone", "Inductive", "Resonance", "Top"];
    assert_eq!(seen.iter().map(String::as_str).collect::<Vec<_>>(), kinds);
}

#[test]
fn german_says_it_in_german() {
    let words = Words::new(Language::German);
    let pickup = Pickup::new("680 pF".parse().unwrap());
    let chain = Chain::from(&"1M".parse().unwrap());
    let response = Response::new(&pickup.into(), &chain);
    let lowest: Pitch = "A1".parse().unwrap();
    // 12.8 dB by the textbook's RC.
    let verdict = words.verdict(&response, &lowest, 55.0, "tuner");
    assert_eq!(verdict, "Das tiefe A verliert 13 dB über „tuner“");
    let needed = InputNeeded { from_ohms: Some(8.35e6), to_ohms: None, keeps: Keeps::Level(0.0) };
    assert_eq!(
        words.asked(&needed, 0.5),
        "einen Eingangswiderstand von mindestens 8,4 MΩ (tiefe Saite höchstens 0,5 dB leiser)"
    );
    let notes = ["B0", "Bb2", "F#3", "E♭2"].map(|pitch| words.pitch(&pitch.parse().unwrap()));
    assert_eq!(notes, ["H0", "B2", "Fis3", "Es2"]);
    assert_eq!((words.db(0.01), words.db(f64::INFINITY)), ("weniger als 0,1 dB".into(), "alles".into()));
}
