//! `firstjack render`: what comes out, against formulas and standards written out here.

mod blend;
mod dither;
mod files;
mod formats;
pub mod levels;
mod loads;
mod odd;
mod orders;
mod round_trip;
mod salvage;
mod set;
mod spread;

use crate::support::wav::Wav;
use crate::support::{Outcome, Sandbox};

/// The courtyard's pickup.
const PICKUP_FARADS: f64 = 680e-12;

/// Renders one take; `rest` says through what, into what and how.
#[track_caller]
fn rendered(take: &Wav, rest: &[&str]) -> Wav {
    rendered_file(&take.bytes(), rest).0
}

/// The same for a file of any bytes, with the report.
#[track_caller]
fn rendered_file(take: &[u8], rest: &[&str]) -> (Wav, serde_json::Value) {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take);
    let report = sandbox.json(&[&RENDER, rest].concat());
    (sandbox.wav("out.wav"), report)
}

/// The same for a person's eyes.
fn said(take: &Wav, rest: &[&str]) -> Outcome {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take.bytes());
    sandbox.run(&[&RENDER, rest].concat())
}

const RENDER: [&str; 6] = ["render", "take.wav", "-o", "out.wav", "--pickup", "680p"];
const UNMATCHED: [&str; 5] = ["--through", "22M", "--load", "470k", "--no-match"];

fn largest_difference(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}
