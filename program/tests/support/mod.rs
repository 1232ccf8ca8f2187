//! A folder to run the program in, and WAV files from first principles.

pub mod circuit;
mod sandbox;
pub mod wav;

pub use sandbox::{Outcome, Sandbox};

use wav::{Kind, Wav};

/// A sine of `amplitude` (full scale is one) at `hz`, `frames` long.
pub fn sine(rate_hz: u32, hz: f64, amplitude: f64, frames: u32) -> Vec<f64> {
    let step = std::f64::consts::TAU * hz / f64::from(rate_hz);
    (0..frames).map(|frame| amplitude * (step * f64::from(frame)).sin()).collect()
}

/// Noise, evenly spread within `±amplitude`: a linear congruential generator (Numerical Recipes' constants, from memory), so
/// that every run sees the same.
pub fn noise(amplitude: f64, frames: u32, seed: u32) -> Vec<f64> {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        amplitude * (f64::from(state) / 2_147_483_648.0 - 1.0)
    };
    (0..frames).map(|_| next()).collect()
}

/// A mono float take of these samples.
pub fn float_take(rate_hz: u32, samples: &[f64]) -> Wav {
    Wav::new(Kind::Float, 1, rate_hz, samples)
}

/// `10 log10(1 + (fc/f)²)`, the loss in dB of a first-order high-pass (textbook RC).
pub fn rc_loss_db(corner_hz: f64, hz: f64) -> f64 {
    10.0 * (1.0 + (corner_hz / hz).powi(2)).log10()
}

/// `1 / (2π R C)` (textbook RC).
pub fn rc_corner_hz(ohms: f64, farads: f64) -> f64 {
    (std::f64::consts::TAU * ohms * farads).recip()
}

/// Level of `hz` in `signal` in dB, full-scale sine is 0: the Fourier sum over a whole number of periods.
pub fn level_db(signal: &[f64], rate_hz: u32, hz: f64) -> f64 {
    let step = std::f64::consts::TAU * hz / f64::from(rate_hz);
    let frames = u32::try_from(signal.len()).unwrap();
    let (mut re, mut im) = (0.0, 0.0);
    for (frame, value) in (0..frames).zip(signal) {
        let (sin, cos) = (step * f64::from(frame)).sin_cos();
        re += value * cos;
        im += value * sin;
    }
    20.0 * (2.0 * f64::hypot(re, im) / f64::from(frames)).log10()
}
