//! One band and its response.
//!
//! The filters are those of the "Audio EQ Cookbook" of R. Bristow-Johnson (W3C Working Group Note, 2021). They are analog prototypes
//! by the bilinear transform, so that their response at `f` is the prototype's at `x = tan(π f/rate) / tan(π f0/rate)`, exactly, and
//! without the differences of near numbers that the coefficients have at low frequencies. With `A = 10^(gain/40)`:
//!
//! - bell: `(s² + s A/Q + 1) / (s² + s/(A Q) + 1)`
//! - low shelf: `A (s² + s √A/Q + A) / (A s² + s √A/Q + 1)`

use std::f64::consts::{FRAC_1_SQRT_2, LN_10, PI, TAU};

use serde::Serialize;

/// The Q of a low shelf: the steepest that neither dips nor overshoots, the cookbook's slope of one.
const SHELF_Q: f64 = FRAC_1_SQRT_2;

/// Decibels of an e-fold of an amplitude.
const DB_PER_LN: f64 = 20.0 / LN_10;

/// What a band is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BandKind {
    /// Raises or lowers everything below its corner.
    LowShelf,
    /// Raises or lowers what is around its centre.
    Bell,
}

/// A band of an equaliser by its controls.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// Shelf or bell.
    pub kind: BandKind,
    /// Corner of a shelf, where it has half its gain in dB, or centre of a bell, in Hz.
    pub hz: f64,
    /// Gain in dB; negative cuts.
    pub gain_db: f64,
    /// Quality factor.
    pub q: f64,
}

/// How a band's response in dB changes with its controls.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sensitivity {
    /// Per e-fold of its frequency.
    pub by_ln_hz: f64,
    /// Per dB of its gain.
    pub by_gain_db: f64,
    /// Per e-fold of its Q.
    pub by_ln_q: f64,
}

/// `tan(π f / rate)`: a digital frequency on the prototypes' axis.
pub(crate) fn warped(hz: f64, rate_hz: f64) -> f64 {
    (PI * hz / rate_hz).tan()
}

impl Band {
    /// A low shelf with its corner in Hz and its gain in dB, of Q 1/√2.
    pub const fn low_shelf(corner_hz: f64, gain_db: f64) -> Self {
        Self { kind: BandKind::LowShelf, hz: corner_hz, gain_db, q: SHELF_Q }
    }

    /// A bell with its centre in Hz and its gain in dB.
    pub const fn bell(centre_hz: f64, gain_db: f64, q: f64) -> Self {
        Self { kind: BandKind::Bell, hz: centre_hz, gain_db, q }
    }
}

/// A band at a sample rate. `|H|²` is the ratio of two sums of squares, numerator first: of a real part and of `x` times an imaginary one.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Prototype {
    kind: BandKind,
    /// Its frequency on the prototypes' axis.
    centre: f64,
    a: f64,
    imaginary: [f64; 2],
    /// `|H|²` but for that ratio.
    level: f64,
    /// `d ln x / d ln f0 = -w0 / sin w0`.
    by_ln_hz: f64,
}

impl Prototype {
    pub fn new(band: &Band, rate_hz: f64) -> Self {
        let Band { kind, hz, gain_db, q } = *band;
        let a = 10f64.powf(gain_db / 40.0);
        let w0 = TAU * hz / rate_hz;
        let (imaginary, level) = match kind {
            BandKind::Bell => ([a / q, (a * q).recip()], 1.0),
            BandKind::LowShelf => ([a.sqrt() / q; 2], a * a),
        };
        Self { kind, centre: warped(hz, rate_hz), a, imaginary, level, by_ln_hz: -w0 / w0.sin() }
    }

    /// `x²`, the real parts, and the squares of the imaginary ones.
    fn parts(&self, warped_hz: f64) -> (f64, [f64; 2], [f64; 2]) {
        let x2 = (warped_hz / self.centre).powi(2);
        let real = match self.kind {
            BandKind::Bell => [1.0 - x2; 2],
            BandKind::LowShelf => [self.a - x2, 1.0 - self.a * x2],
        };
        (x2, real, self.imaginary.map(|part| part * part * x2))
    }

    /// `|H|²` at a [`warped`] frequency.
    pub fn power(&self, warped_hz: f64) -> f64 {
        let (_, real, imaginary) = self.parts(warped_hz);
        self.level * (real[0] * real[0] + imaginary[0]) / (real[1] * real[1] + imaginary[1])
    }

    /// How the response at a [`warped`] frequency changes.
    pub fn sensitivity(&self, warped_hz: f64) -> Sensitivity {
        let (x2, real, imaginary) = self.parts(warped_hz);
        let size = [0, 1].map(|n| real[n] * real[n] + imaginary[n]);
        // Derivatives of the two sums, halved: by ln x and by ln A. By ln Q they are the imaginary parts' squares, negative.
        let (by_ln_x, by_ln_a, level_by_ln_a) = match self.kind {
            BandKind::Bell => {
                let by_ln_x = [0, 1].map(|n| -2.0 * x2 * real[n] + imaginary[n]);
                (by_ln_x, [imaginary[0], -imaginary[1]], 0.0)
            }
            BandKind::LowShelf => {
                let ax2 = self.a * x2;
                let by_ln_x = [-2.0 * x2 * real[0] + imaginary[0], -2.0 * ax2 * real[1] + imaginary[1]];
                let by_ln_a = [self.a * real[0] + 0.5 * imaginary[0], -ax2 * real[1] + 0.5 * imaginary[1]];
                (by_ln_x, by_ln_a, 1.0)
            }
        };
        let change = |by: [f64; 2]| by[0] / size[0] - by[1] / size[1];
        Sensitivity {
            by_ln_hz: DB_PER_LN * change(by_ln_x) * self.by_ln_hz,
            // A is e^(gain ln 10/40).
            by_gain_db: 0.5 * (change(by_ln_a) + level_by_ln_a),
            by_ln_q: -DB_PER_LN * change(imaginary),
        }
    }
}

/// The response in dB of bands in series at a [`warped`] frequency.
pub(crate) fn response_db(bands: &[Band], rate_hz: f64) -> impl Fn(f64) -> f64 + use<> {
    let bands: Vec<Prototype> = bands.iter().map(|band| Prototype::new(band, rate_hz)).collect();
    move |x| 10.0 * bands.iter().map(|band| band.power(x)).product::<f64>().log10()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Central differences (textbook).
    #[test]
    fn sensitivities_are_the_responses_slopes() {
        const STEP: f64 = 1e-5;
        let bands = [
            Band::bell(60.0, 12.0, 0.5),
            Band::bell(9e3, -7.0, 3.0),
            Band::low_shelf(300.0, 15.0),
            Band { q: 1.3, ..Band::low_shelf(80.0, -9.0) },
        ];
        for band in bands {
            for hz in [30.0, 55.0, 80.0, 300.0, 1e3, 8e3, 16e3] {
                let rate_hz = 48e3;
                let x = warped(hz, rate_hz);
                let at = |band: Band| 10.0 * Prototype::new(&band, rate_hz).power(x).log10();
                let slope = |up: Band, down: Band| (at(up) - at(down)) / (2.0 * STEP);
                let near = STEP.exp();
                let expected = [
                    slope(Band { hz: band.hz * near, ..band }, Band { hz: band.hz / near, ..band }),
                    slope(
                        Band { gain_db: band.gain_db + STEP, ..band },
                        Band { gain_db: band.gain_db - STEP, ..band },
                    ),
                    slope(Band { q: band.q * near, ..band }, Band { q: band.q / near, ..band }),
                ];
                let Sensitivity { by_ln_hz, by_gain_db, by_ln_q } =
                    Prototype::new(&band, rate_hz).sensitivity(x);
                for (got, expected) in [by_ln_hz, by_gain_db, by_ln_q].into_iter().zip(expected) {
                    assert!((got - expected).abs() < 1e-7, "{band:?} at {hz}: {got}, not {expected}");
                }
            }
        }
    }
}
