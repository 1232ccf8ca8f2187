//! What is typed: pickups by their kind, boxes in one line, what is asked back.

use serde_json::Value;

use crate::support::Sandbox;
use crate::support::circuit::{capacitor, divider, loss_db, parallel};

/// E1 is 41 equal-tempered semitones below A4 (ISO 16).
fn e1_hz() -> f64 {
    440.0 * (-41.0_f64 / 12.0).exp2()
}

fn json(arguments: &[&str]) -> Value {
    Sandbox::new().json(&[&["tell"], arguments].concat())
}

fn text(arguments: &[&str]) -> String {
    Sandbox::new().done(&[&["tell"], arguments].concat())
}

#[track_caller]
fn refused(arguments: &[&str], said: &[&str]) {
    let failed = Sandbox::new().run(&[&["tell"], arguments].concat());
    assert_eq!(failed.code, Some(2), "{failed:?}");
    said.iter().for_each(|said| assert!(failed.stderr.contains(said), "no '{said}' in {}", failed.stderr));
}

#[track_caller]
fn loses(told: &Value, low_db: f64, high_db: f64) {
    let lowest = &told["strings"][0];
    let figure = |key: &str| lowest[key].as_f64().unwrap_or_else(|| lowest["loss_db"].as_f64().unwrap());
    let (low, high) = (figure("loss_low_db"), figure("loss_high_db"));
    assert!(
        (low - low_db).abs() < 1e-3 && (high - high_db).abs() < 1e-3,
        "{low} to {high}, not {low_db} to {high_db}"
    );
}

/// Loss of a capacitance at E1 into a resistance, by a divider of two impedances (textbook).
fn into(farads: f64, ohms: f64) -> f64 {
    loss_db(divider(capacitor(farads, e1_hz()), ohms))
}

/// `1m` is asked about wherever a load is typed, and a file keeps its `6m`.
#[test]
fn a_metre_is_no_megohm() {
    for load in ["1m", "10m", "500m", "470k || 1m"] {
        refused(
            &["--pickup", "1n", "--load", load],
            &["--load: cannot read", "MΩ is written", "with a space", "which is it?"],
        );
    }
    refused(
        &["--pickup", "1n", "--load", "1M", "--first", "tuner 1m buffered"],
        &["--first: ", "1 MΩ is written 1M"],
    );
    refused(
        &["--pickup", "1n", "--load", "1M", "--first", "6m"],
        &["--first: ", "6 m of cable with a space, 6 m"],
    );
    for cable in ["6 m", "6 metres", "6 metre", "2.5 m", "30 cm"] {
        let told = json(&["--pickup", "1n", "--load", &format!("1M || {cable}")]);
        assert_eq!(told["remarks"], serde_json::json!([]), "{cable}");
    }
    let told = json(&["--pickup", "1n", "--load", "1M || 80 m"]);
    assert_eq!(
        told["remarks"][0],
        "80 m of cable between an instrument and its first box is very long: is it so?"
    );
    let sandbox = Sandbox::new();
    let old = "version = 1\nname = 'old'\npickup = { capacitance = '1n' }\nrecorded = { load = '1m' }\n[[setup]]\nname = 'a'\n\
               chain = [{ cable = '6m' }, { box = 'b', input = '1M' }]\n[[setup]]\nname = 'b'\nload = '1M || 60m'\n";
    sandbox.write("old.toml", old);
    let told = sandbox.json(&["tell", "--setups", "old.toml"]);
    assert_eq!(told["setups"].as_array().unwrap().len(), 2);
    assert!(told["remarks"][0].as_str().unwrap().starts_with("60 m of cable"), "{}", told["remarks"]);
}

/// An unknown capacitance is a range, by its ends or by the kind of pickup.
#[test]
fn a_pickup_of_some_kind() {
    let load = ["--load", "1M", "--instrument", "bass"];
    let told = |pickup: &str| json(&[["--pickup", pickup].as_slice(), &load].concat());
    for pickup in
        ["470p to 4.7n", "bridge", "Bridge", "bri", "upright bass", "bridge pickup of an upright bass"]
    {
        loses(&told(pickup), into(4.7e-9, 1e6), into(470e-12, 1e6));
    }
    let remark = "Assumed: 470 pF to 4.7 nF, usual of a bridge pickup of an upright bass (common practice); measure yours.";
    assert_eq!(told("bridge")["remarks"], serde_json::json!([remark]));
    assert!(
        text(&[["--pickup", "bridge"].as_slice(), &load].concat())
            .contains(&format!("\n{remark}\n\nWhat to do"))
    );
    for (kind, option) in [
        ("brigde", "--pickup"),
        ("of", "--pickup"),
        ("x", "--pickup"),
        ("tripel", "--coil"),
        ("co", "--coil"),
    ] {
        let accepted = if option == "--pickup" {
            "bridge, saddle, disc, film, or values such as 680p"
        } else {
            "single, double, cover, or values"
        };
        refused(
            &[&[option, kind], load.as_slice()].concat(),
            &[&format!("{option}: '{kind}' is no kind of pickup"), accepted],
        );
    }
    let list = Sandbox::new().done(&["list"]);
    for line in [
        "(--pickup WORD",
        "  bridge   bridge pickup of an upright bass",
        "(--coil WORD",
        "  cover    double coil under",
    ] {
        assert!(list.contains(line), "no '{line}' in {list}");
    }
}

/// A kind of coil is the same as its values with the pots that go with it; what is typed beside it goes before.
#[test]
fn a_coil_of_some_kind() {
    let load = ["--load", "1M || 6 m", "--instrument", "guitar"];
    let told = |coil: &[&str]| json(&[coil, load.as_slice()].concat());
    let kind = told(&["--coil", "single"]);
    let values = ["--coil", "2.2 H", "--coil-resistance", "5k6", "--winding", "100p", "--coil-loss", "680k"];
    let spelt = told(&[values.as_slice(), &["--volume", "250k", "--tone", "250k 22n"]].concat());
    assert_eq!(kind["strings"], spelt["strings"]);
    assert_eq!(kind["remarks"].as_array().unwrap().len(), 2, "{}", kind["remarks"]);
    let own = told(&["--coil", "single", "--winding", "220p", "--volume", "250k"]);
    assert_eq!(own["remarks"].as_array().unwrap().len(), 1, "{}", own["remarks"]);
    assert_ne!(own["resonance_hz"], spelt["resonance_hz"]);
    refused(
        &[["--volume", "500k", "--setups", "x.toml"].as_slice()].concat(),
        &["--volume and --tone go with --pickup or --coil"],
    );
    for (option, value) in [
        ("--volume", "500k at 11"),
        ("--volume", "500q"),
        ("--volume", "250"),
        ("--tone", "500k"),
        ("--tone", "22n 500k"),
        ("--tone", "500k 22n at x"),
    ] {
        refused(
            &[["--coil", "single", option, value].as_slice(), &load].concat(),
            &[option, "cannot read", "accepted are 500k"],
        );
    }
}

/// A file's coil keeps its meaning, and is remarked on.
#[test]
fn a_files_coil_without_controls_is_remarked_on() {
    let sandbox = Sandbox::new();
    let file = |more: &str| {
        format!(
            "version = 2\nname = 'x'\npickup = {{ inductance = '4.7 H', resistance = '8k2'{more} }}\nrecorded = {{ load = 'none' }}\n[[setup]]\nname = 'a'\nload = '1M'\n"
        )
    };
    sandbox.write("bare.toml", file(""));
    sandbox.write("pot.toml", file(", volume = { resistance = '500k' }"));
    let remarks =
        |arguments: &[&str]| sandbox.json(&[&["tell", "--setups"], arguments].concat())["remarks"].clone();
    assert!(remarks(&["bare.toml"])[0].as_str().unwrap().starts_with("The coil has no volume"));
    assert_eq!(remarks(&["pot.toml"]), serde_json::json!([]));
    assert_eq!(remarks(&["bare.toml", "--pickup", "1n"]), serde_json::json!([]));
}

/// 140 kΩ cost 1 nF 28.8 dB at E1 as a resistor (textbook RC); as a usual transformer 40.2 to 56.6 dB (numpy, `dsp-core/tests/typed.rs`).
#[test]
fn is_it_passive() {
    let told = |load: &str| json(&["--pickup", "1n", "--load", load, "--instrument", "bass"]);
    let asked = told("140k");
    loses(&asked, into(1e-9, 140e3), into(1e-9, 140e3));
    let question = "Is the 140 kΩ box passive (no battery, no phantom power needed)? Then type 'transformer 140k' instead: there low E loses 40 to 57 dB rather than 29 dB.";
    assert_eq!(asked["remarks"], serde_json::json!([question]));
    let passive = told("transformer 140k");
    assert_eq!(
        (&passive["remarks"], &passive["name"]),
        (&serde_json::json!([]), &Value::from("transformer 140 kΩ"))
    );
    let lowest = &passive["strings"][0];
    let db = |key: &str| lowest[key].as_f64().unwrap();
    assert!(
        (db("loss_low_db") - 40.19).abs() < 0.01 && (db("loss_high_db") - 56.62).abs() < 0.01,
        "{lowest}"
    );
    for quiet in ["22k", "470k", "1M", "10M", "140k || 140k", "transformer 140k || 6 m || 100p"] {
        assert_eq!(told(quiet)["remarks"], serde_json::json!([]), "{quiet}");
    }
    for asked in ["47k", "250k", "140k || 6 m"] {
        assert_eq!(told(asked)["remarks"].as_array().unwrap().len(), 1, "{asked}");
    }
    assert_eq!(
        json(&["--coil", "double", "--volume", "none", "--load", "140k"])["remarks"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
    let first = ["--pickup", "1n", "--load", "1M", "--first"];
    for (first_box, count) in [("box 140k unbuffered", 1), ("box 140k buffered", 0), ("box 22k active", 0)] {
        let told = json(&[&first, [first_box].as_slice()].concat());
        assert_eq!(told["remarks"].as_array().unwrap().len(), count, "{first_box}");
    }
    refused(&["--pickup", "1n", "--load", "transformer 1M"], &["--load: ", "it is outside 10 kΩ to 500 kΩ"]);
}

/// The seven orders that a player asks about, each in one line, against dividers written out here.
#[test]
fn seven_orders_can_be_typed() {
    let told = |firsts: &[&str], load: &str| {
        let firsts: Vec<&str> = firsts.iter().flat_map(|first| ["--first", first]).collect();
        json(&[firsts.as_slice(), &["--pickup", "1n", "--load", load, "--instrument", "bass"]].concat())
    };
    let par = |a: f64, b: f64| a * b / (a + b);
    for (firsts, load, ohms) in [
        (&["tuner 1M buffered"][..], "470k", 1e6),
        (&["tuner 1M unbuffered"], "470k", par(1e6, 470e3)),
        (&["fuzz 22k active"], "1M", 22e3),
        (&["volume pedal 220k unbuffered"], "1M", par(220e3, 1e6)),
        (&["buffer box 10M buffered"], "56k || 6 m", 10e6),
        (&["10 m", "tuner 1M buffered"], "470k", 1e6),
        (&[], "56k", 56e3),
    ] {
        let cable = if firsts.first() == Some(&"10 m") { capacitor(1e-9, e1_hz()) } else { 1e15.into() };
        let expected = loss_db(divider(capacitor(1e-9, e1_hz()), parallel(cable, ohms)));
        loses(&told(firsts, load), expected, expected);
    }
    let fuzz = told(&["fuzz 22k active"], "1M");
    assert!(
        fuzz["sentences"].to_string().contains("the fuzz is on: its linear input is what counts here"),
        "{fuzz}"
    );
    let both = told(&["10 m", "tuner 1M unbuffered"], "470k");
    assert_eq!(both["name"], "10 m cable into tuner into 470 kΩ");
    assert_eq!(both["chain"].as_array().unwrap().len(), 3);
    let question = ["--first: something follows 'tuner'", "buffered", "does the sound change?"];
    refused(&["--pickup", "1n", "--first", "tuner 1M", "--load", "470k"], &question);
    assert_eq!(told(&["tuner 1M"], "none")["name"], "tuner", "nothing follows it");
    refused(
        &["--pickup", "1n", "--first", "tuner", "--load", "470k"],
        &["--first: 'tuner' has no input in it"],
    );
    // What may change is the last input, also behind a tuner in parallel.
    let asks = told(&["tuner 10M unbuffered"], "470k");
    let total = 1.0 / (std::f64::consts::TAU * e1_hz() * 1e-9 * (10f64.powf(0.1) - 1.0).sqrt());
    let beside = 1.0 / (1.0 / total - 1e-7);
    if beside > 0.0 {
        assert!(
            (asks["ask_for_ohms"].as_f64().unwrap() / beside - 1.0).abs() < 1e-6,
            "{}",
            asks["ask_for_ohms"]
        );
    }
}
