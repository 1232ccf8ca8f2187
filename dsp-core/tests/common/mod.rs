//! What the tests of several rooms share: the demo's setups, signals, and figures taken from a signal.

#![allow(dead_code, reason = "every test file uses its own share")]

use std::f64::consts::TAU;
use std::path::PathBuf;

use biquad::{Biquad, Coefficients, DirectForm2Transposed, Hertz, Type};
use dsp_core::circuit::{Chain, Pickup};
use dsp_core::preset::{Preset, Setup};
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Shape, Transfer};
use dsp_core::units::Load;
use proptest::test_runner::Config as ProptestConfig;

/// Settings of a property test. A failing case is printed, and kept as a test of its own rather than in a file.
pub fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(cases) }
}

/// The text of a file in `presets/`.
pub fn preset_text(file: &str) -> String {
    let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), "..", "presets", file].iter().collect();
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The demo: a 680 pF pickup recorded through 22 MΩ, and six setups.
pub fn demo() -> Preset {
    Preset::from_toml(&preset_text("courtyard.toml")).unwrap()
}

/// What the demo's take goes through to be heard through `setup`.
pub fn demo_shape(demo: &Preset, setup: &Setup) -> Shape {
    let transfer = |chain| Transfer::new(&demo.pickups, chain);
    Change::new(&transfer(&demo.recorded), &transfer(&setup.chain)).shape(Ceiling::default())
}

/// From one load expression to another, `pickup` in its usual spelling.
pub fn change(pickup: &str, through: &str, to: &str) -> Change {
    Change::new(&transfer(pickup, through), &transfer(pickup, to))
}

/// A capacitive pickup into a load expression.
pub fn transfer(pickup: &str, load: &str) -> Transfer {
    Transfer::new(&Pickup::new(pickup.parse().unwrap()).into(), &chain(load))
}

/// The chain of a load expression.
pub fn chain(load: &str) -> Chain {
    Chain::from(&load.parse::<Load>().unwrap())
}

/// A full-scale sine.
pub fn tone(hz: f64, rate_hz: f64, frames: u32, phase_turns: f64) -> Vec<f64> {
    (0..frames).map(|n| (TAU * (hz / rate_hz * f64::from(n) + phase_turns)).sin()).collect()
}

/// White noise between -0.5 and 0.5, the same for the same seed.
pub fn white_noise(seed: u32, frames: usize) -> Vec<f64> {
    let mut state = seed.wrapping_mul(0x9E37_79B9) | 1;
    let next = || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        f64::from(state) / f64::from(u32::MAX) - 0.5
    };
    std::iter::repeat_with(next).take(frames).collect()
}

/// Noise with the slope of music, falling by 6 dB an octave from 100 Hz on, peak near full scale.
pub fn music_like_noise(seed: u32, rate_hz: f64, frames: usize) -> Vec<f64> {
    let pole = (-TAU * 100.0 / rate_hz).exp();
    let mut level = 0.0;
    let mut noise = white_noise(seed, frames);
    for value in &mut noise {
        level = pole * level + (1.0 - pole) * *value;
        *value = level;
    }
    let scale = 0.9 / peak(&noise);
    noise.iter_mut().for_each(|value| *value *= scale);
    noise
}

/// One channel through `processor`, in one block.
pub fn run(processor: &mut Processor, input: &[f64]) -> Vec<f64> {
    let mut block = [input.to_vec()];
    processor.process(&mut block);
    let [output] = block;
    output
}

/// The largest magnitude.
pub fn peak(signal: &[f64]) -> f64 {
    signal.iter().fold(0.0, |peak: f64, value| peak.max(value.abs()))
}

/// Sample by sample, `a - b`.
pub fn difference(a: &[f64], b: &[f64]) -> Vec<f64> {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(a, b)| a - b).collect()
}

/// An amplitude in dB.
pub fn db(amplitude: f64) -> f64 {
    20.0 * amplitude.log10()
}

/// What is above 5 kHz: Butterworth high-pass of 8th order (section Q values from the textbook pole angles).
pub fn above_5_khz(signal: &[f64], rate_hz: f64) -> Vec<f64> {
    let mut sections = [1.0, 3.0, 5.0, 7.0].map(|k: f64| {
        let q = (2.0 * (k * TAU / 32.0).cos()).recip();
        let rate = Hertz::<f64>::from_hz(rate_hz).unwrap();
        let corner = Hertz::<f64>::from_hz(5_000.0).unwrap();
        let coefficients = Coefficients::from_params(Type::HighPass, rate, corner, q).unwrap();
        DirectForm2Transposed::<f64>::new(coefficients)
    });
    signal.iter().map(|&value| sections.iter_mut().fold(value, |value, section| section.run(value))).collect()
}
