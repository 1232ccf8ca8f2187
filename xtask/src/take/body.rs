//! The body: a few resonances side by side. Their values are invented for a large, deep box.

use super::clock::Clock;
use biquad::{Biquad, Coefficients, DirectForm2Transposed, Hertz, Type};

/// One resonance.
#[derive(Clone, Copy, Debug)]
struct Mode {
    /// Centre frequency in Hz.
    hz: f64,
    /// Quality factor: centre frequency over -3 dB bandwidth.
    q: f64,
    /// Gain at the centre frequency.
    gain: f64,
}

/// Air, then the top in more and more parts.
const MODES: [Mode; 6] = [
    Mode { hz: 82.0, q: 7.0, gain: 0.55 },
    Mode { hz: 151.0, q: 11.0, gain: 0.50 },
    Mode { hz: 233.0, q: 14.0, gain: -0.40 },
    Mode { hz: 372.0, q: 16.0, gain: 0.34 },
    Mode { hz: 560.0, q: 17.0, gain: -0.26 },
    Mode { hz: 910.0, q: 14.0, gain: 0.18 },
];

/// The resonances with their state.
pub(super) struct Body {
    resonances: [(DirectForm2Transposed<f64>, f64); MODES.len()],
}

impl Body {
    /// A body at rest.
    pub(super) fn new(clock: Clock) -> Self {
        Self { resonances: MODES.map(|mode| resonance(mode, clock)) }
    }

    /// Answer to one sample at the bridge.
    pub(super) fn run(&mut self, input: f64) -> f64 {
        self.resonances.iter_mut().map(|(filter, weight)| *weight * filter.run(input)).sum()
    }
}

/// The filter of one mode and the weight that makes its gain at the centre [`Mode::gain`]: this
/// kind of band-pass has the gain `Q` there.
fn resonance(mode: Mode, clock: Clock) -> (DirectForm2Transposed<f64>, f64) {
    let hz = |value: f64| Hertz::<f64>::from_hz(value).expect("positive constants and a checked rate");
    let coefficients =
        Coefficients::from_params(Type::BandPass, hz(clock.sample_rate_hz()), hz(mode.hz), mode.q)
            .expect("the highest mode is below the lowest rate's Nyquist frequency");
    (DirectForm2Transposed::new(coefficients), mode.gain / mode.q)
}

#[cfg(test)]
mod tests {
    use super::super::measure::amplitude;
    use super::*;
    use std::f64::consts::TAU;

    /// A steady tone at the centre of a mode comes out with the mode's gain.
    #[test]
    fn modes_have_their_gain() {
        let rate_hz = 8_000.0;
        for mode in MODES {
            let (mut filter, weight) = resonance(mode, Clock::new(rate_hz));
            let tone = (0..16_000).map(|n| (TAU * mode.hz * f64::from(n) / rate_hz).cos());
            let answer: Vec<f64> = tone.map(|sample| weight * filter.run(sample)).collect();
            let gain = amplitude(&answer[8_000..], rate_hz, mode.hz);
            assert!((gain - mode.gain.abs()).abs() < 1e-3, "{mode:?}: {gain}");
        }
    }

    #[test]
    fn body_comes_to_rest() {
        let mut body = Body::new(Clock::new(48_000.0));
        let answer: Vec<f64> = (0..48_000).map(|n| body.run(if n == 0 { 1.0 } else { 0.0 })).collect();
        assert!(answer[..4_800].iter().any(|sample| sample.abs() > 1e-3));
        assert!(answer[43_200..].iter().all(|sample| sample.abs() < 1e-9));
    }
}
