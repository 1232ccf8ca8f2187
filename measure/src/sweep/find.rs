//! Where the sweeps are in a recording, and whether they are sweeps of ours.
//!
//! All at a rate of some 8 kHz: deconvolved there, a sweep becomes the short response of what it went through. Its harmonics come before
//! it, the n-th by `T ln n / ln(f1/f0)` (A. Farina, AES convention paper 5093, 2000; from memory).

use realfft::num_complex::Complex;

use super::Sweep;
use super::lengths::{fast_length, frames};
use super::mains::{NOMINAL_HZ, is_clear};
use super::thinned::thinned;
use crate::{Recording, Refusal};

/// The rate of the search is the recording's by a whole number, and at least this, in Hz.
const SEARCH_HZ: f64 = 8_000.0;

/// The band of the search: from here, in Hz, to this part of the rate, and this far from multiples of the mains.
const LOWEST_HZ: f64 = 200.0;
const HIGHEST_PART: f64 = 0.36;
const MAINS_HZ: f64 = 1.0;
/// Of the sweep's largest power: where it has less, nothing is deconvolved.
const REGULAR: f64 = 1e-4;

/// What a response may last, before and after its peak, in seconds: of a transformer's primary a tenth.
const BEFORE_SECONDS: f64 = 0.008;
const AFTER_SECONDS: f64 = 0.06;
/// What is looked at around it, clear of harmonics.
const AROUND_SECONDS: (f64, f64) = (0.16, 0.3);
/// So much of what is around must be in the response.
const CONCENTRATED: f64 = 0.6;

/// A sweep is no softer than this beside the loudest.
const SOFTEST: f64 = 0.25;
/// They may lie this far from where they belong, in seconds.
const OFF_SECONDS: f64 = 0.02;

/// Half the width of a harmonic's place, in seconds.
const HARMONIC_SECONDS: f64 = 0.015;

/// The sweeps of a recording.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Places {
    /// The frame where the first one begins; the others follow in the test sound's own distance.
    pub first: usize,
    /// Second and third harmonic as a part of the sound, without the noise.
    pub distortion: f64,
}

/// Finds all of the test sound's sweeps.
pub(super) fn find(recording: &Recording, name: &'static str) -> Result<Places, Refusal> {
    let response = Coarse::new(recording);
    let peaks = response.peaks();
    match peaks.as_slice() {
        [] => Err(Refusal::NoSweep { recording: name }),
        [first, ..] if peaks.len() >= Sweep::COUNT => {
            let distortion = peaks.iter().map(|peak| response.distortion(*peak)).fold(0.0, f64::max);
            Ok(Places { first: first * response.divisor, distortion })
        }
        _ => Err(Refusal::SweepsMissing { recording: name, found: peaks.len() }),
    }
}

/// How many sweeps there are, at most as many as there should be.
pub(super) fn count(recording: &Recording) -> usize {
    Coarse::new(recording).peaks().len().min(Sweep::COUNT)
}

/// A recording deconvolved at a low rate.
struct Coarse {
    response: Vec<f64>,
    rate_hz: f64,
    divisor: usize,
    /// Places that a sweep may begin at: all of the recording.
    frames: usize,
}

impl Coarse {
    fn new(recording: &Recording) -> Self {
        let divisor = frames(recording.rate_hz / SEARCH_HZ, 1.0).max(1);
        let sound = thinned(&recording.samples, divisor);
        let sweep = thinned(&Sweep::new(recording.rate_hz, 0.0).once(), divisor);
        #[expect(clippy::cast_precision_loss, reason = "a divisor of at most 100")]
        let rate_hz = recording.rate_hz / divisor as f64;
        let length = fast_length(sound.len() + sweep.len());
        Self { response: deconvolved(&sound, &sweep, length, rate_hz), rate_hz, divisor, frames: sound.len() }
    }

    /// Frames, in the low rate, at which sweeps begin, in the test sound's distance from each other.
    fn peaks(&self) -> Vec<usize> {
        let (loudest, level) = self.loudest(0, self.frames);
        let period = frames(Sweep::SECONDS + Sweep::GAP_SECONDS, self.rate_hz);
        let off = frames(OFF_SECONDS, self.rate_hz);
        let mut peaks = Vec::new();
        let phase = loudest % period;
        for near in (0..).map(|k| phase + k * period).take_while(|near| *near < self.frames) {
            let (peak, here) = self.loudest(near.saturating_sub(off), near + off + 1);
            if here >= SOFTEST * level && level > 0.0 && self.is_concentrated(peak) {
                peaks.push(peak);
            } else if peaks.len() >= Sweep::COUNT {
                break;
            } else {
                // What belongs together has no hole.
                if near > loudest {
                    break;
                }
                peaks.clear();
            }
        }
        peaks
    }

    /// The loudest frame between two, and how loud it is.
    fn loudest(&self, from: usize, to: usize) -> (usize, f64) {
        let to = to.min(self.frames);
        let loudness = (from..to).map(|frame| (frame, self.response[frame].abs()));
        loudness.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0))
    }

    fn is_concentrated(&self, peak: usize) -> bool {
        let inside = self.energy(peak, -BEFORE_SECONDS, AFTER_SECONDS);
        let all = self.energy(peak, -AROUND_SECONDS.0, AROUND_SECONDS.1);
        inside > CONCENTRATED * all
    }

    /// Second and third harmonic over the response, what is between them taken as noise.
    fn distortion(&self, peak: usize) -> f64 {
        let octaves = (Sweep::new(self.rate_hz * self.whole(), 0.0).highest_hz() / Sweep::LOWEST_HZ).ln();
        let before = |harmonic: f64| -Sweep::SECONDS * harmonic.ln() / octaves;
        let at = |seconds: f64| self.energy(peak, seconds - HARMONIC_SECONDS, seconds + HARMONIC_SECONDS);
        let noise = at(0.5 * (before(2.0) + before(3.0)));
        let harmonics = (at(before(2.0)) - 4.0 * noise).max(0.0) + (at(before(3.0)) - 4.0 * noise).max(0.0);
        (harmonics / self.energy(peak, -BEFORE_SECONDS, AFTER_SECONDS)).sqrt()
    }

    #[expect(clippy::cast_precision_loss, reason = "a divisor of at most 100")]
    fn whole(&self) -> f64 {
        self.divisor as f64
    }

    /// The energy between two times from a peak, in seconds; the response goes round.
    fn energy(&self, peak: usize, from: f64, to: f64) -> f64 {
        let length = self.response.len();
        let start = (peak + length - frames(from.abs(), self.rate_hz)) % length;
        let start = if from < 0.0 { start } else { peak + frames(from, self.rate_hz) };
        let count = frames(to - from, self.rate_hz);
        (start..start + count).map(|frame| self.response[frame % length].powi(2)).sum()
    }
}

/// `Y X* / (|X|² + ε)`, back in time, without lows and mains, which are louder than a sweep may be.
fn deconvolved(sound: &[f64], sweep: &[f64], length: usize, rate_hz: f64) -> Vec<f64> {
    let forward = firstjack_fourier::real(length);
    let spectrum = |samples: &[f64]| {
        let mut padded = vec![0.0; length];
        padded[..samples.len()].copy_from_slice(samples);
        let mut bins = forward.make_output_vec();
        forward.process(&mut padded, &mut bins).expect("the lengths are the plan's own");
        bins
    };
    let mut bins = spectrum(sound);
    let of_sweep = spectrum(sweep);
    let most = of_sweep.iter().map(Complex::norm_sqr).fold(0.0, f64::max);
    #[expect(clippy::cast_precision_loss, reason = "a length of a million")]
    let hz = |bin: usize| bin as f64 * rate_hz / length as f64;
    for (index, (bin, sweep)) in bins.iter_mut().zip(&of_sweep).enumerate() {
        let heard = (LOWEST_HZ..HIGHEST_PART * rate_hz).contains(&hz(index))
            && NOMINAL_HZ.iter().all(|mains_hz| is_clear(hz(index), *mains_hz, MAINS_HZ));
        let inverse = sweep.conj() / (sweep.norm_sqr() + REGULAR * most + f64::MIN_POSITIVE);
        *bin *= if heard { inverse } else { Complex::new(0.0, 0.0) };
    }
    let mut response = vec![0.0; length];
    firstjack_fourier::real_back(length)
        .process(&mut bins, &mut response)
        .expect("the lengths are the plan's own");
    response
}
