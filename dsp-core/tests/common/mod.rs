//! What the tests of several rooms share: the demo's setups, signals, and figures taken from a signal.

#![allow(dead_code, reason = "every test file uses its own share")]

pub mod circuits;
#[path = "../../../tests/rust/searched.rs"]
mod searched;

use std::f64::consts::TAU;
use std::path::PathBuf;

use biquad::{Biquad, Coefficients, DirectForm2Transposed, Hertz, Type};
use dsp_core::circuit::{Chain, Pickup};
use dsp_core::preset::{Preset, Setup};
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Root, Roots, Shape, Transfer};
use dsp_core::units::Load;
use proptest::test_runner::Config as ProptestConfig;

/// Settings of a property test. A failing case is printed, and kept as a test of its own rather than in a file. A longer search has
/// `FIRSTJACK_LONGER` times as many.
pub fn cases(usual: u32) -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        max_global_rejects: searched::cases(1_024),
        ..ProptestConfig::with_cases(searched::cases(usual))
    }
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

/// Resonating at `hz` with a quality factor `q` above one half.
pub fn pair(hz: f64, q: f64) -> Root {
    let decay_rad_s = TAU * hz / (2.0 * q);
    Root::pair(decay_rad_s, ((TAU * hz).powi(2) - decay_rad_s.powi(2)).sqrt())
}

/// Real, with a corner at `hz`.
pub fn corner(hz: f64) -> Root {
    Root::real(TAU * hz)
}

fn ratio<const N: usize, const M: usize>(zeros: [Root; N], poles: [Root; M]) -> Shape {
    Shape { gain: 1.0, zeros: Roots::from_iter(zeros), poles: Roots::from_iter(poles) }
}

/// Shapes of higher order as circuits make them: a transformer's high-pass, one that rings, the first one taken back, a coil's low-pass
/// over another's, that taken back, and one of fifth order.
pub fn higher_order() -> Vec<(&'static str, Shape)> {
    let origin = Root::real(0.0);
    vec![
        ("transformer", ratio([origin, origin], [corner(15.0), corner(180.0)])),
        ("ringing transformer", ratio([origin, origin], [pair(40.0, 3.0)])),
        ("transformer undone", ratio([corner(15.0), corner(180.0)], [corner(13.0), corner(13.0)])),
        ("coil", ratio([pair(3_000.0, 4.0)], [pair(8_000.0, 2.0)])),
        ("coil undone", ratio([pair(6_000.0, 3.0)], [pair(6_500.0, 6.0)])),
        (
            "fifth order",
            ratio(
                [origin, origin, corner(700.0), pair(2_500.0, 1.0)],
                [corner(9.0), corner(90.0), corner(1_300.0), pair(4_000.0, 2.5)],
            ),
        ),
    ]
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

/// Plucked strings of a bass, one after the other, each for so many frames: harmonics that fall by 6 dB an octave and die the
/// sooner the higher they are; peak near full scale.
pub fn plucked(rate_hz: f64, frames: u32, notes: usize) -> Vec<f64> {
    let note = |hz: f64| {
        (0..frames).map(move |frame| {
            let seconds = f64::from(frame) / rate_hz;
            let harmonic = |k: f64| (TAU * k * hz * seconds).sin() / k * (-seconds * (3.0 + 0.8 * k)).exp();
            let attack = 1.0 - (-seconds * 1_000.0).exp();
            attack * (1..=20).map(|k| harmonic(f64::from(k))).sum::<f64>()
        })
    };
    let mut signal: Vec<f64> =
        [41.203, 55.0, 73.416, 97.999].into_iter().cycle().take(notes).flat_map(note).collect();
    let scale = 0.9 / peak(&signal);
    signal.iter_mut().for_each(|value| *value *= scale);
    signal
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

/// The bar for a change, in dB re the louder of the two steady peaks.
pub const BAR_DB: f64 = -100.0;

/// Sample rates at which changes are tried, in Hz.
pub const RATES: [f64; 3] = [44_100.0, 48_000.0, 96_000.0];

/// A shape with the gain that matches it: the inverse of its loss at 110 Hz, up to 32 dB.
#[derive(Clone, Copy)]
pub struct Heard {
    pub shape: Shape,
    pub gain: f64,
}

impl Heard {
    pub fn matched(shape: Shape) -> Self {
        Self { shape, gain: shape.power(110.0).sqrt().recip() }
    }

    pub fn apply(&self, processor: &mut Processor) {
        processor.change(&self.shape, self.gain).unwrap();
    }

    /// Peak of the steady tone through it.
    pub fn steady_peak(&self) -> f64 {
        self.gain * self.shape.power(55.0).sqrt()
    }
}

pub fn every_pair(choices: &[(String, Heard)]) -> impl Iterator<Item = [&(String, Heard); 2]> {
    choices
        .iter()
        .flat_map(move |from| choices.iter().map(move |to| [from, to]))
        .filter(|[from, to]| from.0 != to.0)
}

pub fn milliseconds(ms: u32, rate_hz: f64) -> u32 {
    (0..).find(|frames| f64::from(*frames) >= f64::from(ms) * 1e-3 * rate_hz).unwrap()
}

/// The tone through `choices` one after another, each for so many frames, the first from the very start. Returns the
/// largest residue after the first change, in dB re the louder steady peak.
pub fn residue_db(choices: &[(Heard, u32)], rate_hz: f64, phase_turns: f64) -> f64 {
    let frames = choices.iter().map(|(_, frames)| frames).sum();
    let input = tone(55.0, rate_hz, frames, phase_turns);
    let mut processor = Processor::new(rate_hz, 1).unwrap();
    let mut output = Vec::new();
    for (heard, frames) in choices {
        heard.apply(&mut processor);
        let start = output.len();
        output.extend(run(&mut processor, &input[start..start + *frames as usize]));
    }
    let louder = choices.iter().map(|(heard, _)| heard.steady_peak()).fold(0.0, f64::max);
    let residue = above_5_khz(&output, rate_hz);
    db(peak(&residue[choices[0].1 as usize..]) / louder)
}

pub fn switch_residue_db([from, to]: [&(String, Heard); 2], rate_hz: f64, phase_turns: f64) -> f64 {
    // The high-pass and the start of the tone die away first.
    let (before, after) = (milliseconds(200, rate_hz), milliseconds(100, rate_hz));
    residue_db(&[(from.1, before), (to.1, after)], rate_hz, phase_turns)
}

/// Fails if the worst of `residues` misses the bar, and says which it is.
pub fn assert_clean(residues: impl Iterator<Item = (f64, String)>) {
    let (worst_db, which) = residues.max_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
    println!("worst residue {worst_db:.1} dB: {which}");
    assert!(worst_db <= BAR_DB, "{worst_db} dB: {which}");
}
