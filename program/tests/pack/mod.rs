//! `firstjack pack`: the page taken apart by an HTML tokenizer, its sound by decoders, its figures by formulas.

mod content;
mod hostile;
mod interrupted;
mod odd;
mod page;
mod refused;
mod size;
mod sound;
mod spread;

use serde_json::Value;

use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, float_take, noise, sine};
use page::Page;

/// Two setups, so that tests are quick; `--rescue none` keeps it at three sounds.
const TWO: &str = r#"
version = 1
name = "Two"
instrument = "guitarron"
pickup = { capacitance = "680 pF" }
recorded = { load = "22M" }

[[setup]]
name = "passive box"
chain = [{ box = "passive box", input = "56k" }]

[[setup]]
name = "combo"
chain = [{ box = "combo", input = "470k" }]
"#;

/// A folder with a take and the file of two setups.
fn with(take: &Wav) -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take.bytes());
    sandbox.write("two.toml", TWO);
    sandbox
}

/// Packs the take with two setups and nothing else, and gives page and report.
#[track_caller]
fn packed(sandbox: &Sandbox, rest: &[&str]) -> (Page, Value) {
    let report = sandbox.json(&[&PACK, rest].concat());
    (Page::parse(&sandbox.read("page.html")), report)
}

const PACK: [&str; 8] = ["pack", "take.wav", "--setups", "two.toml", "--rescue", "none", "-o", "page.html"];

/// Two seconds at 48 kHz, low, middle and high in different measure.
fn music() -> Wav {
    float_take(48_000, &mix(48_000, 96_000))
}

fn mix(rate_hz: u32, frames: u32) -> Vec<f64> {
    let parts = [sine(rate_hz, 55.0, 0.2, frames), sine(rate_hz, 330.0, 0.1, frames), noise(0.02, frames, 9)];
    let sum = |frame: usize| parts.iter().map(|part| part[frame]).sum();
    (0..usize::try_from(frames).unwrap()).map(sum).collect()
}

/// The same samples in every channel, the second and later ones lower.
fn spread(samples: &[f64], channels: u16) -> Vec<f64> {
    samples.iter().flat_map(|value| (0..channels).map(move |c| value / f64::from(1 + c))).collect()
}

fn take_of(kind: Kind, channels: u16, rate_hz: u32, frames: u32) -> Wav {
    Wav::new(kind, channels, rate_hz, &spread(&mix(rate_hz, frames), channels))
}
