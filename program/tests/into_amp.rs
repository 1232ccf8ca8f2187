//! `firstjack into-amp`: what is told, written and refused. The circuits are held against ngspice in `tests/python/test_into_amp.py`; here
//! expected figures are textbook formulas written out.

use serde_json::Value;

use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, float_take, level_db, rc_corner_hz, rc_loss_db, sine};

const RATE_HZ: u32 = 48_000;
const TAKE: [&str; 6] = ["into-amp", "take.wav", "--through", "22M", "--pickup", "680p"];

/// A second of 55 Hz, a tenth of full scale.
fn sandbox() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.courtyard();
    sandbox.write("take.wav", float_take(RATE_HZ, &sine(RATE_HZ, 55.0, 0.1, RATE_HZ)).bytes());
    sandbox
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn with<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [TAKE.as_slice(), more].concat()
}

#[track_caller]
fn refused(sandbox: &Sandbox, arguments: &[&str], said: &str) {
    let before = sandbox.listing();
    let outcome = sandbox.run(arguments);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stderr.contains(said), "no '{said}' in {}", outcome.stderr);
    assert!(sandbox.listing() == before, "a file was changed");
}

/// The loss of the take at 55 Hz changes from that of 22 MΩ to that of 1 MΩ, or to none, and the gain is in the file: 10 dBu against 18, and what 100 Ω
/// lose into 1 MΩ.
#[test]
fn the_file_has_load_and_gain_in_it() {
    let loss = |ohms: f64| rc_loss_db(rc_corner_hz(ohms, 680e-12), 55.0);
    let levels = [
        "--in-dbu-at-full-scale",
        "10 dBu",
        "--out-dbu-at-full-scale",
        "18",
        "--into",
        "1M",
        "-o",
        "out.wav",
    ];
    for (way, expected_db) in [("file", loss(22e6) - loss(1e6)), ("capacitor", loss(22e6))] {
        let sandbox = sandbox();
        let told = sandbox.json(&with(&[&levels[..], &["--way", way, "--no-pad"]].concat()));
        let gain_db = number(&told["gain_db"]);
        let divider = if way == "file" { 20.0 * (1.0f64 + 100.0 / 1e6).log10() } else { 0.0 };
        assert!((gain_db - (10.0 - 18.0 + divider)).abs() < 2e-3, "{gain_db}");
        let written = sandbox.wav("out.wav").samples();
        // Once it has settled.
        let half = written.len() / 2;
        let level = level_db(&written[half..half + 24_000 / 11 * 11], RATE_HZ, 55.0);
        let before = level_db(&sine(RATE_HZ, 55.0, 0.1, 24_000 / 11 * 11), RATE_HZ, 55.0);
        assert!(
            (level - before - expected_db - gain_db).abs() < 0.05,
            "{way}: {level} {before} {expected_db}"
        );
    }
}

/// Full scale as a voltmeter says it is the same as in dBu: 4 dBu are 1.228 V.
#[test]
fn a_level_is_measured_with_a_known_voltage() {
    let sandbox = sandbox();
    let gain = |input: &str, output: &str| {
        let levels = ["--into", "1M", "--in-dbu-at-full-scale", input, "--out-dbu-at-full-scale", output];
        number(&sandbox.json(&with(&levels))["ways"][0]["played"]["gain_db"])
    };
    assert!((gain("1.228 V at -6 dBFS", "18 dBu") - gain("10 dBu", "122.8 mV at -34 dBFS")).abs() < 0.01);
}

/// A box of the kit brings them.
#[test]
fn an_interface_of_the_kit() {
    let sandbox = sandbox();
    let add = [
        "kit",
        "add",
        "box",
        "our interface",
        "1M",
        "in_dbu_at_full_scale=10 dBu",
        "out_dbu_at_full_scale=18 dBu",
        "output_resistance=150",
    ];
    let said = sandbox.done(&add);
    assert!(said.contains("0 dBFS out is 18.0 dBu") && said.contains("150 Ω"), "{said}");
    let told = sandbox.json(&with(&["--into", "1M", "--interface", "our interface", "--no-pad"]));
    assert_eq!(told["levels"]["out_dbu_at_full_scale"], 18.0);
    assert_eq!(told["ways"][1]["output_ohms"], 150.0);
    let typed = ["--into", "1M", "--interface", "our interface", "--out-dbu-at-full-scale", "4"];
    assert_eq!(sandbox.json(&with(&typed))["levels"]["out_dbu_at_full_scale"], 4.0);
    refused(&sandbox, &with(&["--into", "1M", "--interface", "our interfac"]), "is it 'our interface'?");
    sandbox.done(&["kit", "add", "box", "our tuner", "1M"]);
    refused(&sandbox, &with(&["--into", "1M", "--interface", "our tuner"]), "says no level of 'our tuner'");
}

/// An output that is too hot gets a pad of E24 whose attenuation is Ohm's, and the highest peak comes near -6 dBFS; one that is too weak is refused.
#[test]
fn levels_that_do_not_fit() {
    let sandbox = sandbox();
    let levels = |output: &'static str| {
        ["--into", "1M", "--in-dbu-at-full-scale", "10", "--out-dbu-at-full-scale", output, "-o", "out.wav"]
    };
    let told = sandbox.json(&with(&levels("18")));
    let way = &told["ways"][0];
    let (series, shunt) = (number(&way["pad"]["series_ohms"]), number(&way["pad"]["shunt_ohms"]));
    let db = 20.0 * (1.0 + (100.0 + series) / shunt).log10();
    assert!((number(&way["pad"]["db"]) - db).abs() < 1e-9);
    let peak = number(&way["played"]["peak_dbfs"]);
    assert!((-7.0..=-5.0).contains(&peak), "{peak}");
    let samples = sandbox.wav("out.wav").samples();
    let written = 20.0 * samples.iter().fold(0.0f64, |peak, value| peak.max(value.abs())).log10();
    assert!((written - peak).abs() < 0.1, "{written} {peak}");
    assert!(sandbox.json(&with(&[&levels("18")[..6], &["--no-pad"]].concat()))["ways"][0]["pad"].is_null());
    refused(&sandbox, &with(&[&levels("-40")[..], &["--overwrite"]].concat()), "the output is too weak by");
    let one = ["--into", "1M", "--in-dbu-at-full-scale", "0"];
    refused(&sandbox, &with(&one), "accepted are both, or none");
}

/// No capacitor stands for them; the other way goes.
#[test]
fn where_no_capacitor_stands_for_the_pickup() {
    let sandbox = sandbox();
    let take = ["into-amp", "take.wav", "--through", "10M", "--into", "1M || 6 m"];
    for (pickup, obstacle, said) in [
        (&["--coil", "4.7 H", "--coil-resistance", "8k2"][..], "coil", "no capacitor does what a coil does"),
        (&["--pickup", "680p", "--leakage", "33M"][..], "leak", "leaks"),
        (&["--pickup", "680p", "--volume", "500k"][..], "controls", "volume or tone control"),
        (&["--pickup", "20p"][..], "size", "below 47 pF"),
    ] {
        let told = sandbox.json(&[&take[..], pickup].concat());
        assert_eq!(told["ways"][1]["obstacle"], obstacle);
        assert!(told["ways"][0]["right"].as_bool().unwrap(), "{told}");
        let asked = [&take[..], pickup, &["--way", "capacitor", "-o", "out.wav"]].concat();
        refused(&sandbox, &asked, said);
        sandbox.done(&[&take[..], pickup, &["-o", "out.wav", "--overwrite"]].concat());
    }
}

#[test]
fn what_cannot_be_played_is_refused() {
    let sandbox = sandbox();
    refused(&sandbox, &with(&["--into", "1M", "--into", "470k"]), "a take is played into one amplifier");
    refused(&sandbox, &with(&["--into", "much"]), "--into: cannot read 'much'");
    refused(&sandbox, &with(&["--into", "none"]), "there is no amplifier in it");
    let setups = ["into-amp", "take.wav", "--setups", "presets/courtyard.toml"];
    refused(&sandbox, &setups, "one --setup of passive box, combo");
    refused(&sandbox, &with(&["--into", "1M", "--sheet", "sheet.txt"]), "names ending in .pdf or .html");
    refused(&sandbox, &with(&["--into", "1M", "-o", "take.wav", "--overwrite"]), "it is the take itself");
    refused(
        &sandbox,
        &with(&["--into", "1M", "--out-dbu-at-full-scale", "18 dBV"]),
        "'dBV' is not a unit here",
    );
}

/// What 56 kΩ took of the lows 24 dB do not give back: the capacitor's way is not right, and says why.
#[test]
fn a_take_that_lacks_too_much() {
    let sandbox = sandbox();
    let take = [
        "into-amp",
        "take.wav",
        "--through",
        "56k",
        "--pickup",
        "680p",
        "--into",
        "1M",
        "--instrument",
        "guitarron",
    ];
    let told = sandbox.json(&take);
    assert_eq!(told["ways"][1]["right"], false);
    let text = sandbox.done(&take);
    assert!(text.contains("since the take lacks more than the boost limit gives back"), "{text}");
}

/// In both languages, as PDF and HTML; beside a page, too; and nothing where nothing was asked for.
#[test]
fn sheets_are_written() {
    let sandbox = sandbox();
    let before = sandbox.listing();
    sandbox.done(&with(&["--into", "1M"]));
    sandbox.done(&with(&["--into", "1M", "-o", "out.wav", "--sheet", "sheet.pdf", "--dry-run"]));
    assert!(sandbox.listing() == before);
    let setup = [
        "into-amp",
        "take.wav",
        "--setups",
        "presets/courtyard.toml",
        "--setup",
        "combo",
        "--way",
        "capacitor",
    ];
    for (language, name, said) in [
        ("en", "sheet.html", "Valve amplifiers hold lethal voltages"),
        ("de", "blatt.html", "Röhrenverstärker führen tödliche Spannungen"),
    ] {
        let arguments = [&setup[..], &["--language", language, "--sheet", name]].concat();
        sandbox.done(&arguments);
        let html = String::from_utf8(sandbox.read(name)).unwrap();
        assert!(
            html.contains(said) && html.contains("680 pF") && html.contains("Courtyard · combo"),
            "{html}"
        );
    }
    let page =
        ["pack", "take.wav", "--setups", "presets/courtyard.toml", "--rescue", "none", "-o", "page.html"];
    let reamp = ["--reamp", "combo", "combo.pdf"];
    let told = sandbox.json(&[&page[..], &reamp].concat());
    assert_eq!(told["reamp"], "combo.pdf");
    assert!(sandbox.read("combo.pdf").starts_with(b"%PDF"));
    refused(
        &sandbox,
        &[&page[..], &["--overwrite", "--reamp", "cambo", "other.pdf"]].concat(),
        "did you mean 'combo'?",
    );
}

/// The range at the lowest string is textbook RC: with the take's load out of it, the level of another pickup's capacitance and of another input.
#[test]
fn tolerances_are_told() {
    let sandbox = sandbox();
    let take = [
        "into-amp",
        "take.wav",
        "--through",
        "none",
        "--pickup",
        "680p ±30 %",
        "--into",
        "1M ±20 %",
        "--instrument",
        "guitarron",
    ];
    let text = sandbox.done(&take);
    assert!(text.contains("where pickup, input and cable have the middle of what is said of them"), "{text}");
    let told = sandbox.json(&take);
    let off = &told["ways"][0]["strings"][0]["off_db"];
    // The file has the loss of the middle, whatever the pickup is.
    let loss = |ohms: f64, farads: f64| rc_loss_db(rc_corner_hz(ohms, farads), 55.0);
    let middle = loss(1e6, 680e-12);
    let (least, most) = (loss(1.2e6, 1.3 * 680e-12), loss(0.8e6, 0.7 * 680e-12));
    assert!((number(&off["low"]) - (least - middle)).abs() < 0.01, "{off}");
    assert!((number(&off["high"]) - (most - middle)).abs() < 0.01, "{off}");
}

/// A take of integers that would clip without levels is lowered.
#[test]
fn a_hot_take_of_integers_does_not_clip() {
    let sandbox = sandbox();
    let loud = Wav::new(Kind::Int(2), 1, RATE_HZ, &sine(RATE_HZ, 41.2, 0.95, RATE_HZ));
    sandbox.write("loud.wav", loud.bytes());
    let take =
        ["into-amp", "loud.wav", "--through", "470k", "--pickup", "680p", "--into", "10M", "-o", "out.wav"];
    let told = sandbox.json(&take);
    assert!(number(&told["gain_db"]) < -3.0 && told["clipped_samples"] == 0, "{told}");
}

/// Two pickups share a jack, and an amplifier has one: the file has one channel, and the load is in it.
#[test]
fn a_blend_becomes_one_channel() {
    let sandbox = sandbox();
    let pickup = "[[blend]]\ncapacitance = '680 pF'\n";
    let setups = format!(
        "version = 2\nname = 'x'\nrecorded = {{ load = '22M' }}\n{pickup}{pickup}[[setup]]\nname = 'amp'\nload = '1M'\n"
    );
    sandbox.write("blend.toml", setups);
    let both: Vec<f64> =
        sine(RATE_HZ, 110.0, 0.1, RATE_HZ).iter().flat_map(|value| [*value, *value]).collect();
    sandbox.write("both.wav", Wav::new(Kind::Float, 2, RATE_HZ, &both).bytes());
    let take = ["into-amp", "both.wav", "--setups", "blend.toml"];
    let told = sandbox.json(&[&take[..], &["-o", "out.wav"]].concat());
    assert_eq!((&told["ways"][0]["right"], &told["ways"][1]["obstacle"]), (&true.into(), &"blend".into()));
    let written = sandbox.wav("out.wav");
    assert_eq!(written.channels, 1);
    // Two halves of one charge: as one pickup of twice the capacitance, into 1 MΩ (textbook RC), less what 22 MΩ took of each.
    let loss = |ohms: f64, farads: f64| rc_loss_db(rc_corner_hz(ohms, farads), 110.0);
    let expected = loss(22e6, 680e-12) - loss(1e6, 2.0 * 680e-12);
    let (samples, frames) = (written.samples(), 48_000 / 2);
    let level = level_db(&samples[frames..], RATE_HZ, 110.0);
    let before = level_db(&sine(RATE_HZ, 110.0, 0.1, RATE_HZ / 2), RATE_HZ, 110.0);
    assert!((level - before - expected).abs() < 0.02, "{level} {before} {expected}");
}
