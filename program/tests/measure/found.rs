//! What is found of a simulated pickup, and what becomes of it.

use serde_json::Value;

use super::{INPUT_FARADS, INPUT_OHMS, PICKUP_FARADS, pickup, with_steps};
use crate::support::Sandbox;

const KEYS: [&str; 10] = [
    "capacitance_f",
    "total_capacitance_f",
    "input_ohms",
    "input_f",
    "blocking_f",
    "primary_h",
    "inductance_h",
    "resistance_ohms",
    "loss_ohms",
    "winding_f",
];

#[track_caller]
fn holds(json: &Value, key: &str, truth: f64, within: f64) {
    let end = |name: &str| json[key][name].as_f64().unwrap();
    let (low, value, high) = (end("low"), end("value"), end("high"));
    assert!(low <= truth && truth <= high && low <= value && value <= high, "{key}: {}", json[key]);
    assert!((value / truth - 1.0).abs() < within, "{key}: {value} instead of {truth}");
}

/// One run tells, draws and keeps; what it kept is what the next command takes.
#[test]
fn a_pickup_is_found_drawn_and_kept() {
    let sandbox = with_steps();
    let run = pickup("reference.wav", "empty.wav", "plugged.wav");
    let more = ["--picture", "fit.svg", "--save", "our bridge", "--kit", "kit.toml"];
    let json = sandbox.json(&[&run[..], &more[..]].concat());
    holds(&json, "capacitance_f", PICKUP_FARADS, 0.03);
    holds(&json, "input_ohms", INPUT_OHMS, 0.05);
    holds(&json, "input_f", INPUT_FARADS, 0.05);
    assert!(KEYS.iter().all(|key| json.get(key).is_some()), "{json}");
    for key in ["blocking_f", "primary_h", "inductance_h", "refused"] {
        assert!(json[key].is_null(), "{key}: {json}");
    }
    assert_eq!(
        (&json["method"], &json["subject"], &json["saved"]),
        (&"sweep".into(), &"pickup".into(), &"our bridge".into())
    );
    assert!(json["assumed"][0].as_str().unwrap().contains("100 kΩ ±1 %"), "{json}");
    let svg = String::from_utf8(sandbox.read("fit.svg")).unwrap();
    let svg = roxmltree::Document::parse(&svg).unwrap();
    let readings = svg.descendants().filter(|node| node.has_tag_name("circle")).count();
    assert!(readings >= 4 * 30, "{readings} dots in two panels of two series");
    let kit = String::from_utf8(sandbox.read("kit.toml")).unwrap();
    for said in ["[[pickup]]", "name = \"our bridge\"", "pF ±", "method = \"sweep\"", "measured = \"20"] {
        assert!(kit.contains(said), "{said} in {kit}");
    }
    let options = json["options"].as_str().unwrap();
    let value = options.strip_prefix("--pickup \"").unwrap().strip_suffix('"').unwrap();
    assert!(sandbox.done(&["tell", "--pickup", value, "--load", "1M"]).contains("loses"));
    // A name that is there is refused before anything is measured, in whatever letters, and the kit stays.
    let again = [&run[..], &["--save", "Our Bridge", "--kit", "kit.toml"]].concat();
    let before = sandbox.listing();
    let outcome = sandbox.run(&again);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stderr.contains("'our bridge' is in the kit already"), "{outcome:?}");
    assert!(sandbox.listing() == before);
}

/// The verdict first, then what it rests on, the table, and what to do.
#[test]
fn a_report_begins_with_the_verdict() {
    let sandbox = with_steps();
    let run = pickup("reference.wav", "empty.wav", "plugged.wav");
    let said = sandbox.done(&[&run[..], &["--picture", "fit.png"]].concat());
    let first = said.lines().next().unwrap();
    assert!(first.starts_with("The pickup has 6") && first.contains(" pF, between "), "{said}");
    let places: Vec<usize> = [
        "Assumed: a resistor of 100 kΩ ±1 % in series",
        "input resistance",
        "What to do next",
        "firstjack tell --pickup \"",
        "--save \"our pickup\"",
        "Mute before",
    ]
    .iter()
    .map(|part| said.find(part).unwrap_or_else(|| panic!("{part} in {said}")))
    .collect();
    assert!(places.is_sorted(), "{said}");
    assert!(sandbox.read("fit.png").starts_with(b"\x89PNG"));
    assert_eq!(sandbox.done(&[&run[..], &["-q"]].concat()), "");
}

/// A meter's reading less three metres of cable of 100 pF each.
#[test]
fn a_meters_reading() {
    let sandbox = Sandbox::new();
    let run = ["measure", "meter", "980p", "--at", "1 kHz", "--cable", "3 m", "--error", "2 %"];
    let json = sandbox.json(&run);
    holds(&json, "capacitance_f", 680e-12, 0.03);
    assert_eq!((&json["method"], json["refused"].is_null()), (&"meter".into(), true));
    let saved = [&run[..], &["--save", "our bridge", "--kit", "kit.toml"]].concat();
    let said = sandbox.done(&saved);
    assert!(
        said.contains("The pickup has 680 pF, between")
            && said.contains("'our bridge' is in the kit now: kit.toml"),
        "{said}"
    );
    let kit = String::from_utf8(sandbox.read("kit.toml")).unwrap();
    assert!(kit.contains("method = \"meter\""), "{kit}");
    let drawn = sandbox.run(&[&run[..], &["--picture", "fit.svg"]].concat());
    assert_eq!(drawn.code, Some(2), "{drawn:?}");
    assert!(drawn.stderr.contains("there is nothing to draw"), "{drawn:?}");
}
