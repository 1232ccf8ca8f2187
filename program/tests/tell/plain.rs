//! A capacitive pickup into resistance and capacitance.

use std::f64::consts::TAU;

use serde_json::Value;

use super::{close, tell};
use crate::support::{Sandbox, rc_corner_hz, rc_loss_db};

/// Equal to as many figures as a table prints.
fn shows(actual: &Value, digits: usize, printed: &str) {
    assert_eq!(format!("{:.digits$}", actual.as_f64().unwrap()), printed);
}

/// A1 D2 G2 C3 E3 A2 in semitones from A4 (ISO 16: twelve equal steps to the octave, A4 at 440 Hz).
const GUITARRON: [(&str, i32); 6] =
    [("A1", -36), ("D2", -31), ("G2", -26), ("C3", -21), ("E3", -17), ("A2", -24)];

#[test]
fn json_has_what_scripts_lean_on() {
    let told = tell(&["--pickup", "680p", "--load", "470k || 1M", "--instrument", "guitarron"]);
    let load_ohms = 470e3 * 1e6 / (470e3 + 1e6);
    let corner_hz = rc_corner_hz(load_ohms, 680e-12);
    close(&told["load_ohms"], load_ohms);
    close(&told["corner_hz"], corner_hz);
    let strings = told["strings"].as_array().unwrap();
    assert_eq!(strings.len(), GUITARRON.len());
    for (string, (name, semitones)) in strings.iter().zip(GUITARRON) {
        let hz = 440.0 * (f64::from(semitones) / 12.0).exp2();
        assert_eq!(string["name"], name);
        close(&string["hz"], hz);
        close(&string["loss_db"], rc_loss_db(corner_hz, hz));
    }
    // 10 log10(1 + (fc/f)²) = 1 solved for the R in fc.
    close(&told["ask_for_ohms"], (TAU * 55.0 * 680e-12 * (10f64.powf(0.1) - 1.0).sqrt()).recip());
}

/// Textbook RC, `fc = 1/(2π R C)`; "about 1600, 160, 4.8 Hz" is common practice, no source.
#[test]
fn corners_of_one_nanofarad() {
    for (load, digits, hz) in [("100k", 0, "1592"), ("1M", 1, "159.2"), ("33M", 2, "4.82")] {
        shows(&tell(&["--pickup", "1n", "--load", load])["corner_hz"], digits, hz);
    }
}

/// Textbook RC, `10 log10(1 + (fc/f)²)`; the pitch of E1 from ISO 16.
#[test]
fn losses_of_one_nanofarad_at_low_e() {
    for (load, digits, db) in [("47k", 1, "38.3"), ("100k", 1, "31.7"), ("1M", 1, "12.0"), ("10M", 2, "0.60")]
    {
        let told = tell(&["--pickup", "1n", "--load", load, "--instrument", "bass"]);
        assert_eq!(told["strings"][0]["name"], "E1");
        shows(&told["strings"][0]["hz"], 3, "41.203");
        shows(&told["strings"][0]["loss_db"], digits, db);
    }
}

/// Textbook RC, `10 log10(1 + (fc/f)²)`.
#[test]
fn losses_of_the_courtyard_at_low_a() {
    let table = [("56k", 1, "37.6"), ("470k", 1, "19.2"), ("1M", 1, "12.8"), ("1M || 22M", 1, "13.2")];
    for (load, digits, db) in table.into_iter().chain([("22M", 2, "0.16")]) {
        let told = tell(&["--pickup", "680p", "--load", load, "--strings", "A1"]);
        shows(&told["strings"][0]["loss_db"], digits, db);
    }
}

/// Textbook RC, `10 log10(1 + (fc/f)²)`.
#[test]
fn loads_to_ask_for_at_low_e() {
    for (max_loss, digits, megohms) in
        [("0.1", 1, "25.3"), ("0.5", 2, "11.06"), ("1", 2, "7.59"), ("3", 2, "3.87")]
    {
        let told = tell(&["--pickup", "1n", "--load", "1M", "--max-loss", max_loss, "--strings", "E1"]);
        let ohms = told["ask_for_ohms"].as_f64().unwrap();
        shows(&Value::from(ohms / 1e6), digits, megohms);
    }
}

/// `H = s C_p / (s C_p + 1/R_leak + Y_L)` with everything that a circuit can have, divided out by hand.
#[test]
fn leakage_and_cable_count() {
    let told =
        tell(&["--pickup", "1n5", "--leakage", "33M", "--load", "470k || 220p || 3 m", "--strings", "E1"]);
    let (shunt_farads, hz) = (220e-12 + 3.0 * 100e-12, 440.0 * (-41.0 / 12.0_f64).exp2());
    let w = TAU * hz;
    let source = w * 1.5e-9;
    let total = f64::hypot(33e6_f64.recip() + 470e3_f64.recip(), w * (1.5e-9 + shunt_farads));
    close(&told["strings"][0]["loss_db"], 20.0 * (total / source).log10());
    close(&told["load_farads"], shunt_farads);
    // Long cables on a capacitive source lose level, not treble: what is lost everywhere (common practice, no source).
    close(&told["level_loss_db"], 20.0 * ((1.5e-9 + shunt_farads) / 1.5e-9).log10());
}

#[test]
fn an_unloaded_pickup_loses_nothing() {
    let text = Sandbox::new().done(&["tell", "--pickup", "680p", "--load", "none", "--json"]);
    assert!(!text.contains("-0.0"), "{text}");
    let told: Value = serde_json::from_str(&text).unwrap();
    assert_eq!((&told["corner_hz"], &told["load_ohms"]), (&Value::from(0.0), &Value::Null));
    assert!(told["strings"].as_array().unwrap().iter().all(|string| string["loss_db"] == 0.0));
}

/// What stands behind a buffer does not load; an unbuffered thru puts both inputs in parallel (common practice, no source).
#[test]
fn a_file_of_setups_gives_one_answer_each() {
    let sandbox = Sandbox::new();
    let told = sandbox.json(&["tell", "--setups", sandbox.courtyard()]);
    let setups = told["setups"].as_array().unwrap();
    let parallel = |a: f64, b: f64| a * b / (a + b);
    let six_metres = 6.0 * 100e-12;
    let expected = [
        ("passive box", 56e3, 0.0),
        ("combo", 470e3, 0.0),
        ("tuner", 1e6, 0.0),
        ("tuner's unbuffered thru", parallel(1e6, 470e3), 0.0),
        ("combo on a long cable", 470e3, six_metres),
    ];
    assert_eq!(setups.len(), 6);
    for (setup, (name, ohms, farads)) in setups.iter().zip(expected) {
        assert_eq!(setup["name"], name);
        close(&setup["load_ohms"], ohms);
        close(&setup["corner_hz"], rc_corner_hz(ohms, 680e-12 + farads));
        assert_eq!(setup["strings"][0]["name"], "A1", "the file's instrument");
    }
    let behind: Vec<&Value> =
        setups[2]["chain"].as_array().unwrap().iter().map(|link| &link["loads"]).collect();
    assert_eq!(behind, [true, false, false]);
}

#[test]
fn strings_and_concert_pitch_can_be_chosen() {
    let told = tell(&["--pickup", "1n", "--load", "1M", "--strings", "Bb2 A4 C#3", "--a4", "442"]);
    let hz = |semitones: f64| 442.0 * (semitones / 12.0).exp2();
    for (index, (name, semitones)) in [("Bb2", -23.0), ("A4", 0.0), ("C#3", -20.0)].into_iter().enumerate() {
        assert_eq!(told["strings"][index]["name"], name);
        close(&told["strings"][index]["hz"], hz(semitones));
    }
    assert!(told["verdict"].as_str().unwrap().starts_with("low Bb loses"), "the lowest, not the first");
}

#[test]
fn one_value_in_many_spellings_is_one_answer() {
    let sandbox = Sandbox::new();
    let tell =
        |pickup: &str, load: &str| sandbox.done(&["tell", "--pickup", pickup, "--load", load, "--json"]);
    let expected = tell("680p", "470k || 2M2 || 6 m || 100p");
    for (pickup, load) in [
        ("680 pF", "470k||2M2||6 m||100p"),
        ("0.68n", "0.47M || 2.2 MΩ || 600 cm || 0.1n"),
        ("n68", "470 kΩ ∥ 2.2Meg ∥ 6.0 m ∥ 100 pF"),
        ("680e-12F", "470000R || 2200kohm || 6 metres || 1e2p"),
    ] {
        assert_eq!(tell(pickup, load), expected, "{pickup}, {load}");
    }
    assert_ne!(tell("680p", "470k || 2M2 || 6 m || 101p"), expected);
}

#[test]
fn the_verdict_comes_first() {
    let sandbox = Sandbox::new();
    let first = |text: &str| text.lines().next().unwrap().to_owned();
    let text = sandbox.done(&["tell", "--pickup", "680p", "--load", "1M", "--instrument", "guitarron"]);
    assert_eq!(first(&text), "low A loses 13 dB into 1 MΩ");
    let text = sandbox.done(&["tell", "--setups", sandbox.courtyard()]);
    assert_eq!(first(&text), "low A loses 38 dB through the passive box");
    assert!(text.contains("\nlow A loses 13 dB through the tuner\n"), "{text}");
    assert!(text.contains("A1    55.00  12.8 dB"), "{text}");
    // 8.40 MΩ, rounded up so that it suffices: 7.59 MΩ · 1 nF/680 pF · 41.2/55.
    assert!(text.contains("ask for: an input of at least 8.4 MΩ"), "{text}");
    assert!(text.contains("local codes and venue rules come first"), "{text}");
}

/// Colour is for terminals. It is forced first, so that its absence means something.
#[test]
fn colour_only_where_it_is_wanted() {
    let sandbox = Sandbox::new();
    let has_escapes = |arguments: &[&str], variables: &[(&str, &str)]| {
        let output = sandbox.command(arguments).envs(variables.iter().copied()).output().unwrap();
        [output.stdout, output.stderr].concat().contains(&0x1b)
    };
    let good = ["tell", "--pickup", "680p", "--load", "1M"];
    let bad = ["tell", "--pickup", "680p", "--load", "1 kg"];
    for arguments in [&good, &bad] {
        assert!(has_escapes(arguments, &[("CLICOLOR_FORCE", "1")]));
        assert!(!has_escapes(arguments, &[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]));
        assert!(!has_escapes(arguments, &[]), "not a terminal");
    }
}
