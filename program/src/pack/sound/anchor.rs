use std::f64::consts::PI;

use biquad::{Biquad, Coefficients, DirectForm2Transposed, Hertz, Type};

use crate::passes::Treatment;

/// Where the highs end: the low-range anchor of ITU-R BS.1534-3, section 5.1.
const HIGHS_HZ: f64 = 3500.0;

/// Where the lows end, against the lowest string: four octaves, so that no open string keeps its fundamental and none of those above it
/// either.
const LOWS_PER_LOWEST: f64 = 16.0;

/// No higher than this, so that enough is left of small instruments.
const HIGHEST_LOWS_HZ: f64 = 2000.0;

/// Poles: as many as the standard's limits need (25 dB at 4 kHz, 50 dB at 4.5 kHz).
const ORDER: u32 = 12;

/// How far the passband waves, in dB; the standard allows 0.1.
const RIPPLE_DB: f64 = 0.09;

/// What an anchor lacks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cut {
    /// Everything above a corner, in Hz.
    Highs(f64),
    /// Everything below a corner, in Hz.
    Lows(f64),
}

impl Cut {
    /// What coils lose: the highs.
    pub const fn highs() -> Self {
        Self::Highs(HIGHS_HZ)
    }

    /// What capacitive pickups lose: the lows of an instrument with this lowest string.
    pub const fn lows(lowest_hz: f64) -> Self {
        Self::Lows((LOWS_PER_LOWEST * lowest_hz).min(HIGHEST_LOWS_HZ))
    }

    pub const fn corner_hz(self) -> f64 {
        match self {
            Self::Highs(hz) | Self::Lows(hz) => hz,
        }
    }

    /// What it takes at `hz`, in dB: `10 log10(1 + e² T²(x))` with Chebyshev's polynomial `T`, `x` the frequency against the corner, or of lows
    /// the corner against the frequency (textbook), from where the passband ends on; nothing within.
    pub fn loss_db(self, hz: f64) -> f64 {
        let x = match self {
            Self::Highs(corner) => hz / corner,
            Self::Lows(corner) => corner / hz,
        };
        if x <= 1.0 {
            return 0.0;
        }
        // The logarithm of the hyperbolic cosine, which is beyond all numbers far from the corner.
        let angle = f64::from(ORDER) * x.acosh();
        let cosh_db = 20.0 * (angle - 2f64.ln() + (-2.0 * angle).exp().ln_1p()) / 10f64.ln();
        let ripple_db = 20.0 * epsilon().log10();
        10.0 * 10f64.powf((cosh_db + ripple_db).min(3000.0) / 10.0).ln_1p() / 10f64.ln()
    }

    /// A filter for each channel.
    pub fn treatment(self, rate_hz: f64, channels: usize) -> Treatment {
        let mut filters = vec![self.sections(rate_hz); channels];
        Box::new(move |block| {
            for (sections, channel) in filters.iter_mut().zip(block) {
                for value in channel {
                    *value = sections.iter_mut().fold(*value, |value, section| section.run(value));
                }
            }
        })
    }

    /// A Chebyshev filter of the first kind in sections (poles on an ellipse: `sinh a sin t ± i cosh a cos t`, of a high-pass their inverse;
    /// textbook), by the bilinear transform. Each pole pair is prewarped to a frequency and a Q of its own, which is the transform of the
    /// whole.
    ///
    /// # Panics
    /// Never: all rates of takes lie above twice the corner.
    fn sections(self, rate_hz: f64) -> Vec<DirectForm2Transposed<f64>> {
        let order = f64::from(ORDER);
        let a = epsilon().recip().asinh() / order;
        let corner = (PI * self.corner_hz() / rate_hz).tan();
        let section = |pair: u32| {
            let angle = PI * (2.0 * f64::from(pair) + 1.0) / (2.0 * order);
            let (damping, frequency) = (a.sinh() * angle.sin(), a.cosh() * angle.cos());
            let radius = f64::hypot(damping, frequency);
            let (kind, place) = match self {
                Self::Highs(_) => (Type::LowPass, corner * radius),
                Self::Lows(_) => (Type::HighPass, corner / radius),
            };
            let hz = Hertz::from_hz(rate_hz / PI * place.atan()).expect("positive");
            let q = radius / (2.0 * damping);
            let rate = Hertz::from_hz(rate_hz).expect("positive");
            let mut section = Coefficients::from_params(kind, rate, hz, q).expect("below half the rate");
            if pair == 0 {
                // Of even order the passband would wave between one and the ripple above it.
                let lowered = 10f64.powf(-RIPPLE_DB / 20.0);
                [&mut section.b0, &mut section.b1, &mut section.b2].into_iter().for_each(|b| *b *= lowered);
            }
            DirectForm2Transposed::<f64>::new(section)
        };
        (0..ORDER / 2).map(section).collect()
    }
}

/// The height of the ripple, as Chebyshev's filter counts it.
fn epsilon() -> f64 {
    (10f64.powf(RIPPLE_DB / 10.0) - 1.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The level of a sine behind the filter, in dB, by its Fourier sum over whole seconds.
    fn level_db(cut: Cut, rate_hz: u32, hz: f64) -> f64 {
        let step = 2.0 * PI * hz / f64::from(rate_hz);
        let mut block = [(0..2 * rate_hz).map(|frame| (step * f64::from(frame)).sin()).collect::<Vec<f64>>()];
        cut.treatment(f64::from(rate_hz), 1)(&mut block);
        let (mut re, mut im) = (0.0, 0.0);
        for (frame, value) in (0..2 * rate_hz).zip(&block[0]).skip(usize::try_from(rate_hz).unwrap()) {
            let (sin, cos) = (step * f64::from(frame)).sin_cos();
            re += value * cos;
            im += value * sin;
        }
        20.0 * (2.0 * f64::hypot(re, im) / f64::from(rate_hz)).log10()
    }

    /// ITU-R BS.1534-3, section 5.1, from memory: within 0.1 dB up to 3.5 kHz, at least 25 dB down at 4 kHz and 50 dB at 4.5 kHz.
    #[test]
    fn the_low_pass_keeps_the_limits_of_the_standard() {
        for rate_hz in [11_025, 44_100, 48_000, 96_000, 384_000] {
            for hz in [20.0, 100.0, 1000.0, 2000.0, 3000.0, 3400.0, 3500.0] {
                let db = level_db(Cut::highs(), rate_hz, hz);
                assert!(db.abs() <= 0.1, "{rate_hz} Hz: {db} dB at {hz} Hz");
            }
            for (hz, limit) in [(4000.0, -25.0), (4500.0, -50.0)] {
                let db = level_db(Cut::highs(), rate_hz, hz);
                assert!(db <= limit, "{rate_hz} Hz: {db} dB at {hz} Hz");
            }
        }
    }

    /// The same limits the other way round, four octaves above the lowest string, and at most at 2 kHz.
    #[test]
    fn the_high_pass_is_its_mirror() {
        for (lowest_hz, corner) in [(27.5, 440.0_f64), (55.0, 880.0), (196.0, 2000.0)] {
            for rate_hz in [8_000, 44_100, 384_000] {
                let cut = Cut::lows(lowest_hz);
                for hz in [1.0, 1.1, 1.5].map(|times| (times * corner).round()) {
                    let db = level_db(cut, rate_hz, hz);
                    assert!(db.abs() <= 0.1, "{rate_hz} Hz: {db} dB at {hz} Hz");
                }
                for (hz, limit) in
                    [(corner * 3.5 / 4.0, -25.0), (corner * 3.5 / 4.5, -50.0), (lowest_hz, -100.0)]
                {
                    let db = level_db(cut, rate_hz, hz.round());
                    assert!(db <= limit, "{rate_hz} Hz: {db} dB at {hz} Hz");
                }
            }
        }
    }

    /// Against scipy 1.17: `cheby1(12, 0.09, 880, 'high', analog=True)` by `freqs_zpk`.
    #[test]
    fn what_it_takes_is_told() {
        for (hz, expected) in [(880.0, 0.09), (800.0, 23.442_388), (440.0, 114.456_471), (55.0, 338.323_117)]
        {
            let db = Cut::lows(55.0).loss_db(hz * (1.0 - 1e-12));
            assert!((db - expected).abs() < 1e-3, "{db} instead of {expected} dB at {hz} Hz");
        }
        assert_eq!((Cut::lows(55.0).loss_db(900.0), Cut::highs().loss_db(3000.0)), (0.0, 0.0));
        assert_eq!(Cut::highs().loss_db(7000.0), Cut::Lows(7000.0).loss_db(3500.0));
    }
}
