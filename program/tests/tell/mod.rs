//! `firstjack tell`. Expected figures are textbook formulas written out here, or checks with
//! their source beside them.

mod advice;
mod ask;
mod blend;
mod chain;
mod controls;
mod magnetic;
mod plain;
mod spread;
mod transformer;

use serde_json::Value;

use crate::support::Sandbox;

const A1_HZ: f64 = 55.0;

/// E2 is 29 equal-tempered semitones below A4 (ISO 16).
fn e2_hz() -> f64 {
    440.0 * (-29.0_f64 / 12.0).exp2()
}

#[track_caller]
fn close(actual: &Value, expected: f64) {
    close_to(actual, expected, 1e-9);
}

#[track_caller]
fn close_to(actual: &Value, expected: f64, part: f64) {
    let actual = actual.as_f64().unwrap_or_else(|| panic!("{actual} instead of {expected}"));
    assert!((actual / expected - 1.0).abs() < part, "{actual} instead of {expected}");
}

fn tell(arguments: &[&str]) -> Value {
    Sandbox::new().json(&[&["tell"], arguments].concat())
}

/// What is told of the only setup of a file with these pickups (and whatever else it says before the setup) and this chain.
#[track_caller]
fn told(instrument: &str, pickups: &str, setup: &str) -> Value {
    let sandbox = Sandbox::new();
    sandbox.write("setups.toml", file(instrument, pickups, setup));
    sandbox.json(&["tell", "--setups", "setups.toml"])["setups"][0].clone()
}

/// The same for a person's eyes.
#[track_caller]
fn said(instrument: &str, pickups: &str, setup: &str) -> String {
    let sandbox = Sandbox::new();
    sandbox.write("setups.toml", file(instrument, pickups, setup));
    sandbox.done(&["tell", "--setups", "setups.toml"])
}

fn file(instrument: &str, pickups: &str, setup: &str) -> String {
    format!(
        "version = 2\nname = 'Test'\ninstrument = '{instrument}'\nrecorded = {{ load = 'none' }}\n{pickups}\n\
         [[setup]]\nname = 'amplifier'\n{setup}\n"
    )
}

/// The sentences behind a verdict.
fn sentences(told: &Value) -> Vec<&str> {
    told["sentences"].as_array().unwrap().iter().map(|sentence| sentence.as_str().unwrap()).collect()
}
