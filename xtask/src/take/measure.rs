//! Measures for the tests, by the plain definition of the Fourier sum: nothing shared with the synthesis.

use std::f64::consts::{PI, TAU};

/// Amplitude of the cosine at `hz` in `signal`, through a Hann window.
pub(super) fn amplitude(signal: &[f64], sample_rate_hz: f64, hz: f64) -> f64 {
    let (mut re, mut im, mut weights) = (0.0, 0.0, 0.0);
    let span = count(signal.len());
    for (index, sample) in signal.iter().enumerate() {
        let weight = (PI * count(index) / span).sin().powi(2);
        let (sin, cos) = (TAU * hz * count(index) / sample_rate_hz).sin_cos();
        re += weight * sample * cos;
        im += weight * sample * sin;
        weights += weight;
    }
    2.0 * f64::hypot(re, im) / weights
}

/// Frequency of the spectrum's peak within 40 cents of `near_hz`, in cents from it.
pub(super) fn peak_cents(signal: &[f64], sample_rate_hz: f64, near_hz: f64) -> f64 {
    let level = |cents: f64| amplitude(signal, sample_rate_hz, near_hz * (cents / 1200.0).exp2());
    let (mut low, mut high) = (-40.0, 40.0);
    // The main lobe of the window is wider than this, so there is one maximum: search by thirds.
    while high - low > 0.01 {
        let (left, right) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if level(left) < level(right) {
            low = left;
        } else {
            high = right;
        }
    }
    0.5 * (low + high)
}

/// Mean power of `signal` in a band, in squared units of the signal (Parseval, Hann window).
pub(super) fn band_power(signal: &[f64], sample_rate_hz: f64, from_hz: f64, to_hz: f64) -> f64 {
    let bin_hz = sample_rate_hz / count(signal.len());
    let mut power = 0.0;
    let mut hz = (from_hz / bin_hz).ceil() * bin_hz;
    while hz < to_hz {
        // A Hann window spreads each line's power over 1.5 bins.
        power += amplitude(signal, sample_rate_hz, hz).powi(2) / 2.0 / 1.5;
        hz += bin_hz;
    }
    power
}

/// Mean power of `signal` at all frequencies as [`band_power`] weighs it in time.
pub(super) fn whole_power(signal: &[f64]) -> f64 {
    let span = count(signal.len());
    let (mut power, mut weights) = (0.0, 0.0);
    for (index, sample) in signal.iter().enumerate() {
        let weight = (PI * count(index) / span).sin().powi(4);
        power += weight * sample * sample;
        weights += weight;
    }
    power / weights
}

/// Mean power in dB; 0 dB is a constant 1.
pub(super) fn power_db(signal: &[f64]) -> f64 {
    10.0 * (signal.iter().map(|sample| sample * sample).sum::<f64>() / count(signal.len())).log10()
}

/// Largest magnitude in dB.
pub(super) fn peak_db(signal: &[f64]) -> f64 {
    20.0 * signal.iter().fold(0.0_f64, |peak, sample| peak.max(sample.abs())).log10()
}

fn count(samples: usize) -> f64 {
    f64::from(u32::try_from(samples).expect("test signals are short"))
}
