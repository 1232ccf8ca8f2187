//! A whole file of setups at once.

use serde_json::Value;

use crate::support::{Sandbox, float_take, noise, sine};

/// Loud enough that some of the matched set would clip.
fn loud() -> Vec<f64> {
    let (low, hiss) = (sine(48_000, 55.0, 0.7, 96_000), noise(0.29, 96_000, 4));
    low.iter().zip(&hiss).map(|(low, hiss)| low + hiss).collect()
}

fn with_take() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.courtyard();
    sandbox.write("take.wav", float_take(48_000, &loud()).bytes());
    sandbox
}

const SET: [&str; 6] = ["render", "take.wav", "--setups", "presets/courtyard.toml", "-o", "set/"];

#[test]
fn every_setup_is_a_file_of_its_own() {
    let sandbox = with_take();
    let report = sandbox.json(&SET);
    let renderings = report["renderings"].as_array().unwrap();
    let names: Vec<&str> = renderings.iter().map(|rendering| rendering["name"].as_str().unwrap()).collect();
    assert_eq!(names[..4], ["as recorded", "passive box", "combo", "tuner"]);
    assert_eq!(names.len(), 7);
    let mut files: Vec<&str> =
        renderings.iter().map(|rendering| rendering["file"].as_str().unwrap()).collect();
    assert!(files.iter().all(|file| sandbox.wav(file).frames() == 96_000));
    files.dedup();
    assert_eq!(
        files.len(),
        std::fs::read_dir(sandbox.path("set")).unwrap().count(),
        "nothing else is left there"
    );
}

/// The set is lowered by one and the same factor, the recording with it, so that it stays matched; and says so.
#[test]
fn a_set_is_lowered_as_a_whole() {
    let sandbox = with_take();
    let report = sandbox.json(&SET);
    let lowered_db = report["lowered_db"].as_f64().unwrap();
    assert!(lowered_db < -1.0, "{lowered_db}: nothing would have clipped");
    let recorded = sandbox.wav(report["renderings"][0]["file"].as_str().unwrap()).samples();
    let factor = 10f64.powf(lowered_db / 20.0);
    for (out, take) in recorded.iter().zip(sandbox.wav("take.wav").samples()) {
        assert!((out - take * factor).abs() < 1e-7, "{out} {take}");
    }
    let peaks = report["renderings"].as_array().unwrap().iter().map(|rendering: &Value| {
        let out = sandbox.wav(rendering["file"].as_str().unwrap()).samples();
        out.iter().fold(0.0_f64, |peak, value| peak.max(value.abs()))
    });
    let highest = peaks.fold(0.0, f64::max);
    assert!(highest <= 1.0 && highest > 0.8, "{highest}");
    let text = sandbox.done(&[SET.as_slice(), &["--overwrite"]].concat());
    let said = format!("All lowered by {:.1} dB so that nothing clips.", -lowered_db);
    let said_from_10 = format!("All lowered by {:.0} dB so that nothing clips.", -lowered_db);
    assert!(text.contains(&said) || text.contains(&said_from_10), "{text}");
}

/// One at a time or all together: with the levels left alone, a setup sounds the same.
#[test]
fn a_set_is_its_parts() {
    let sandbox = with_take();
    let report = sandbox.json(&[SET.as_slice(), &["--no-match"]].concat());
    let combo = sandbox.wav(report["renderings"][2]["file"].as_str().unwrap());
    let alone =
        ["render", "take.wav", "--pickup", "680p", "--through", "22M", "--load", "470k", "--no-match"];
    sandbox.done(&[alone.as_slice(), &["-o", "alone.wav"]].concat());
    assert_eq!(sandbox.wav("alone.wav"), combo);
}

/// What the file says of the take can be said otherwise on the command line.
#[test]
fn the_command_line_has_the_last_word() {
    let sandbox = with_take();
    let options = ["--through", "1M", "--pickup", "1n", "--no-match"];
    let report = sandbox.json(&[SET.as_slice(), &options].concat());
    let combo = sandbox.wav(report["renderings"][2]["file"].as_str().unwrap());
    let alone = ["render", "take.wav", "--pickup", "1n", "--through", "1M", "--load", "470k", "--no-match"];
    sandbox.done(&[alone.as_slice(), &["-o", "alone.wav"]].concat());
    assert_eq!(sandbox.wav("alone.wav"), combo);
}
