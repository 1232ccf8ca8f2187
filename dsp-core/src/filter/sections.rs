use std::f64::consts::{FRAC_PI_2, PI};

use super::warp::{EDGE_OF_NYQUIST, Roots, SECTIONS};
use crate::response::Shape;

/// Sample rates that the filter is made for, lowest and highest, in Hz.
pub const RATES_HZ: (f64, f64) = (8_000.0, 384_000.0);

/// The digital form of a [`Shape`]: first-order sections `(1 - zero z⁻¹) / (1 - pole z⁻¹)` in series, and a gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sections {
    pub(crate) zeros: Roots,
    pub(crate) poles: Roots,
    /// The gain that makes the sections together equal the analog ratio of gain one.
    pub(crate) level: f64,
}

impl Sections {
    /// Designs the sections of a shape (its gain excepted) at `rate_hz`.
    pub fn new(shape: &Shape, rate_hz: f64) -> Self {
        Self::of(Roots::new(shape.zero_rad_s / rate_hz), Roots::new(shape.pole_rad_s / rate_hz))
    }

    pub(crate) fn of(zeros: Roots, poles: Roots) -> Self {
        // |1 - z e^(-j theta)|² = (1 - z)² + 4 z u is linear in u with slope 4 z, and both cubics have the same
        // leading coefficient, so the ratio of slopes is the whole gain.
        let slope = |roots: &Roots| roots.z.iter().product::<f64>();
        Self { zeros, poles, level: (slope(&poles) / slope(&zeros)).sqrt() }
    }

    /// `|K|²` of the sections at `hz`.
    pub fn power(&self, hz: f64, rate_hz: f64) -> f64 {
        let u = (PI * hz / rate_hz).sin().powi(2);
        let factor = |z: f64| (1.0 - z).powi(2) + 4.0 * z * u;
        let ratio: f64 = (0..SECTIONS).map(|i| factor(self.zeros.z[i]) / factor(self.poles.z[i])).product();
        self.level * self.level * ratio
    }
}

/// The frequency up to which the bound holds at `rate_hz`: 20 kHz, or 0.907 of Nyquist if that is lower.
pub fn accurate_to_hz(rate_hz: f64) -> f64 {
    (EDGE_OF_NYQUIST * rate_hz / 2.0).min(20_000.0)
}

/// The largest difference in dB between the digital and the analog magnitude of `shape` up to
/// [`accurate_to_hz`], computed on a grid dense towards the top, where the ripples are narrow.
pub fn worst_error_db(shape: &Shape, rate_hz: f64) -> f64 {
    if shape.is_flat() {
        return 0.0;
    }
    let unit = Shape { gain: 1.0, ..*shape };
    let sections = Sections::new(&unit, rate_hz);
    let top_hz = accurate_to_hz(rate_hz);
    (1..=512)
        .map(|i| top_hz * (FRAC_PI_2 * f64::from(i) / 512.0).sin())
        .map(|hz| (10.0 * (sections.power(hz, rate_hz) / unit.power(hz)).log10()).abs())
        .fold(0.0, f64::max)
}
