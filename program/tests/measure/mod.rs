//! `firstjack measure`. What recordings would have in them is computed here: the program's own test sound through voltage dividers of
//! textbooks, by the FFT.

mod files;
mod found;
mod help;
mod lead;
mod marks;
mod refused;

use std::f64::consts::TAU;
use std::sync::LazyLock;

use realfft::num_complex::Complex64;

use crate::support::circuit::{capacitor, divider, parallel};
use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, noise};

const RATE_HZ: u32 = 48_000;

/// The circuit that is measured.
const SERIES_OHMS: f64 = 100e3;
const INPUT_OHMS: f64 = 1e6;
const INPUT_FARADS: f64 = 300e-12;
const PICKUP_FARADS: f64 = 680e-12;

/// The input's gain, and noise at -80 dBFS.
const GAIN: f64 = 2.0;
const NOISE: f64 = 1e-4;

/// The three steps of a pickup.
struct Steps {
    reference: Vec<f64>,
    empty: Vec<f64>,
    plugged: Vec<f64>,
}

static STEPS: LazyLock<Steps> = LazyLock::new(|| {
    let sandbox = Sandbox::new();
    sandbox.done(&["measure", "sweep", "-o", "sweep.wav"]);
    let sweep = sandbox.wav("sweep.wav").samples();
    Steps {
        reference: recorded(&sweep, 1, |_| Complex64::from(1.0)),
        empty: recorded(&sweep, 2, |hz| node(0.0, hz)),
        plugged: recorded(&sweep, 3, |hz| node(PICKUP_FARADS, hz)),
    }
});

/// What arrives at the node, with a capacitance plugged in.
fn node(farads: f64, hz: f64) -> Complex64 {
    divider(SERIES_OHMS, parallel(INPUT_OHMS, capacitor(INPUT_FARADS + farads, hz)))
}

/// The test sound through a response, a little late and with noise.
fn recorded(sweep: &[f64], seed: u32, response: impl Fn(f64) -> Complex64) -> Vec<f64> {
    let late = 4_000 + 700 * usize::try_from(seed).unwrap();
    let length = (sweep.len() + late + 24_000).next_power_of_two();
    let (forward, back) = (firstjack_fourier::real(length), firstjack_fourier::real_back(length));
    let mut sound = forward.make_input_vec();
    sound[late..late + sweep.len()].copy_from_slice(sweep);
    let mut bins = forward.make_output_vec();
    forward.process(&mut sound, &mut bins).unwrap();
    let step_hz = f64::from(RATE_HZ) / f64::from(u32::try_from(length).unwrap());
    for (number, bin) in (0_u32..).zip(bins.iter_mut()).skip(1) {
        *bin *= response(f64::from(number) * step_hz);
    }
    (bins[0], bins[length / 2].im) = (Complex64::from(0.0), 0.0);
    back.process(&mut bins, &mut sound).unwrap();
    let frames = late + sweep.len() + 20_000;
    let scale = GAIN / f64::from(u32::try_from(length).unwrap());
    let noise = noise(NOISE, u32::try_from(frames).unwrap(), seed);
    sound.iter().zip(noise).map(|(sample, noise)| scale * sample + noise).collect()
}

fn take(samples: &[f64]) -> Wav {
    Wav::new(Kind::Int(3), 1, RATE_HZ, samples)
}

/// A folder with the three recordings.
fn with_steps() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("reference.wav", take(&STEPS.reference).bytes());
    sandbox.write("empty.wav", take(&STEPS.empty).bytes());
    sandbox.write("plugged.wav", take(&STEPS.plugged).bytes());
    sandbox
}

/// The command for them.
fn pickup<'a>(reference: &'a str, empty: &'a str, plugged: &'a str) -> Vec<&'a str> {
    let files = ["--reference", reference, "--empty", empty, "--plugged", plugged];
    [&["measure", "pickup"], &files[..], &["--resistor", "100k ±1%"]].concat()
}

/// A tone that hardly anything can be told from.
fn tone(frames: u32) -> Vec<f64> {
    (0..frames).map(|frame| 0.1 * (TAU * 440.0 * f64::from(frame) / f64::from(RATE_HZ)).sin()).collect()
}
