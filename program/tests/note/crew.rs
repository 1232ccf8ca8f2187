//! What it tells a stagehand: what to give, and what the crew fills in. Losses are textbook RC.

use super::{A1_HZ, assert_says, file, note, text_of};
use crate::support::circuit::said_db;
use crate::support::{Sandbox, float_take, rc_corner_hz, rc_loss_db, sine};

const TOUR: &str = include_str!("../../../presets/tour.toml");

const HALL: &str = "[[venue]]\nname = 'hall'\nphantom = 'on'\npad = '-20 dB'\npolarity = 'reversed'\nline = '7'\n\
                    feed = 'amp'\ncontact = 'the house engineer'\nremarks = 'Doors at seven.'\n";

const PREAMP: (&str, &str) = ("preamp", "chain = [{ box = 'house preamp', input = '10M' }]");
const AMP: (&str, &str) = ("amp", "chain = [{ box = 'stage amplifier', input = '8M2' }]");
const HOUSE: (&str, &str) = ("house box", "chain = [{ box = 'house box', input = '56k' }]");

fn version_5(venue: &str, setups: &[(&str, &str)]) -> String {
    file(setups).replace("version = 3", "version = 5").replacen("[[setup]]", &format!("{venue}[[setup]]"), 1)
}

fn loss(ohms: f64) -> String {
    said_db(rc_loss_db(rc_corner_hz(ohms, 680e-12), A1_HZ))
}

/// The fields in order, what is to be written by hand as `None`.
fn fields(html: &str) -> Vec<(&str, Option<&str>)> {
    let crew = html.split_once("<dl class=\"note-crew\">").unwrap().1.split_once("</dl>").unwrap().0;
    crew.split("<dt>")
        .skip(1)
        .map(|part| {
            let (term, rest) = part.split_once("</dt>").unwrap();
            (term, rest.strip_prefix("<dd>").map(|rest| rest.split_once("</dd>").unwrap().0))
        })
        .collect()
}

/// A single bad box is not recommended without a word, and what is to be given comes first, in words of the trade.
#[test]
fn a_single_bad_box() {
    let html = note(&file(&[HOUSE]), &[]);
    let text = text_of(&html);
    assert_says(
        &text,
        "What to give\nAn active DI of 10 MΩ or more, or a buffer box of 10 MΩ, first in line.\n",
    );
    assert_says(&text, &format!("Then low A loses {}.\n", loss(10e6)));
    let only = format!(
        "Otherwise there is only the house box, and it is not recommended: low A loses {}.\n",
        loss(56e3)
    );
    assert_says(&text, &only);
    assert_says(&text, &format!("low A loses {} through the house box: all there is", loss(56e3)));
    assert!(!text.contains("first choice"), "{text}");
    let give = html.find("note-give").unwrap();
    assert!(
        ["note-crew", "note-items", "class=\"drawing\""].iter().all(|later| html.find(later).unwrap() > give)
    );
}

/// Of several that are not good the best is said to be that and no more; of coils and large capacitances an input that can be had.
#[test]
fn the_best_of_bad_ones() {
    let tuner = ("tuner", "chain = [{ box = 'tuner', input = '1M' }]");
    let text = text_of(&note(&file(&[HOUSE, tuner]), &[]));
    assert_says(
        &text,
        &format!("Otherwise the tuner is the best there is, and not good: low A loses {}.", loss(1e6)),
    );
    assert_says(&text, "through the tuner: the best there is, and not good\n");
    let large = file(&[HOUSE]).replace("680 pF", "22 nF").replace("56k", "10k");
    let ohms = (std::f64::consts::TAU * A1_HZ * 22e-9 * (10f64.powf(0.1) - 1.0).sqrt()).recip();
    assert_eq!(format!("{:.1}", ohms / 1e3), "258.5");
    assert_says(
        &text_of(&note(&large, &[])),
        "An active DI, or an input of at least 260 kΩ, first in line.\n",
    );
}

/// By the file's only venue, or one by its name, or the command, which goes before; lines for the rest.
#[test]
fn fields_are_filled_in_or_left() {
    let filled = [
        ("Phantom power", Some("on")),
        ("Pad", Some("-20 dB")),
        ("Polarity", Some("reversed")),
        ("Stage-box line", Some("7")),
        ("Feeds front of house", Some("amp")),
        ("Contact", Some("the house engineer")),
        ("Remarks", Some("Doors at seven.")),
    ];
    let setups = version_5(HALL, &[PREAMP, AMP]);
    assert_eq!(fields(&note(&setups, &[])), filled);
    assert_eq!(fields(&note(&setups, &["--venue", "hall"])), filled);
    let html = note(&file(&[PREAMP]), &[]);
    let empty = fields(&html).into_iter().map(|(_, text)| text).collect::<Vec<_>>();
    assert_eq!(empty, [None; 7]);
    let typed =
        ["--phantom", "off", "--pad", "none", "--polarity", "normal", "--line", "12", "--feed", "preamp"];
    let html = note(&setups, &[&typed[..], &["--contact", "me", "--remarks", "Late."]].concat());
    let values: Vec<&str> = fields(&html).into_iter().filter_map(|(_, text)| text).collect();
    assert_eq!(values, ["off", "none", "normal", "12", "preamp", "me", "Late."]);
    let html = note(&setups, &["--language", "de"]);
    let german = fields(&html).into_iter().take(3).collect::<Vec<_>>();
    assert_eq!(
        german,
        [("Phantomspeisung", Some("an")), ("Pad", Some("-20 dB")), ("Polarität", Some("gedreht"))]
    );
    let long = note(&setups, &["--remarks", &"Wide Mill ".repeat(40)]);
    assert!(fields(&long)[6].1.is_some_and(|text| text.ends_with('…') && text.chars().count() == 160));
}

/// 10 and 8.2 MΩ lose 0.7 and 1.0 dB at A1 (textbook RC): the one that feeds front of house is first.
#[test]
fn what_feeds_front_of_house_goes_first_of_equals() {
    assert_eq!((loss(10e6), loss(8.2e6)), ("0.7 dB".into(), "1.0 dB".into()));
    let text = text_of(&note(&version_5(HALL, &[PREAMP, AMP]), &[]));
    assert_says(&text, "Plug straight into the stage amplifier.\n");
    assert_says(&text, "The amp is about as good as the preamp, and it feeds front of house.");
    let text = text_of(&note(&version_5(HALL, &[PREAMP, AMP]), &["--feed", "house preamp"]));
    assert_says(&text, "Plug straight into the house preamp.\n");
    let text = text_of(&note(&version_5(HALL, &[HOUSE, AMP]), &["--feed", "house box"]));
    assert_says(&text, "Plug straight into the stage amplifier.\n");
}

/// Phantom power and a chain in which no transformer keeps it away; none, and an active DI to be given.
#[test]
fn phantom_power() {
    let said = "Phantom power is on, and nothing in this chain is said to keep it away";
    let phantom = |state, chain| text_of(&note(&file(&[("one", chain)]), &["--phantom", state]));
    assert_says(&phantom("on", PREAMP.1), said);
    let passive = "chain = [{ box = 'b', transformer = { primary = '47 H', winding = '1k5', ratio = '12', secondary = '1k' } }]";
    assert!(!phantom("on", passive).contains(said));
    assert!(!phantom("off", PREAMP.1).contains(said));
    assert_says(&phantom("off", HOUSE.1), "an active DI then needs a battery");
    assert!(!phantom("on", HOUSE.1).contains("needs a battery"));
}

/// No guess is printed as a fact: a value without a tolerance is about what it is, and a usual transformer says so.
#[test]
fn guesses_are_called_guesses() {
    let text = text_of(&note(&file(&[PREAMP]), &[]));
    assert_says(&text, "about 680 pF (not measured), capacitive");
    let within = file(&[PREAMP]).replace("version = 3", "version = 4").replace("680 pF", "680 pF ±5 %");
    let text = text_of(&note(&within, &[]));
    assert!(text.contains("680 pF ±5 %, capacitive") && !text.contains("about 680"), "{text}");
    let text = text_of(&note(&version_5("", &[("house box", "load = 'transformer 140k'")]), &[]));
    assert_says(&text, "usual values");
}

/// The five notes of a tour: what each says first.
#[test]
fn five_venues() {
    let give = |venue: &str, language: &str| {
        let text = text_of(&note(TOUR, &["--venue", venue, "--language", language]));
        let title = if language == "en" { "What to give\n" } else { "Bitte bereitstellen\n" };
        text.split_once(title).unwrap().1.lines().next().unwrap().to_owned()
    };
    let active = "An active DI of 10 MΩ or more, or a buffer box of 10 MΩ, first in line.";
    for (venue, first) in [
        ("courtyard", active),
        ("chapel", active),
        (
            "barn",
            "Put the active box first, straight behind the pickup, and what follows behind its buffered thru.",
        ),
        ("harbour", active),
        ("town hall", "Plug straight into the stage amplifier."),
    ] {
        assert_eq!(give(venue, "en"), first, "{venue}");
    }
    assert_eq!(
        give("harbour", "de"),
        "Eine aktive DI-Box mit 10 MΩ oder mehr, oder eine Pufferbox mit 10 MΩ, an erster Stelle."
    );
}

/// The page of a pack has the same note, and the same arguments.
#[test]
fn a_pack_has_the_fields() {
    let sandbox = Sandbox::new();
    sandbox.write("setups.toml", version_5(HALL, &[PREAMP]));
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.2, 24_000)).bytes());
    let pack =
        ["pack", "take.wav", "--setups", "setups.toml", "--rescue", "none", "-o", "page.html", "--line", "5"];
    sandbox.done(&pack);
    let page = String::from_utf8(sandbox.read("page.html")).unwrap();
    let fields = fields(&page);
    assert_eq!((fields[0].1, fields[3].1), (Some("on"), Some("5")));
}
