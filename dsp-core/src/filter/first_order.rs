use std::f64::consts::PI;

use super::warp::{SECTIONS, digital_roots};

/// The digital form of a first-order ratio: first-order sections `(1 - zero z⁻¹) / (1 - pole z⁻¹)` in series, and a gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FirstOrderSections {
    pub(crate) zeros: [f64; SECTIONS],
    pub(crate) poles: [f64; SECTIONS],
    /// The gain that makes the sections together equal the analog ratio of gain one.
    pub(crate) level: f64,
}

impl FirstOrderSections {
    /// For corners in rad/s, zero or more, at `rate_hz`.
    pub(crate) fn new(zero_rad_s: f64, pole_rad_s: f64, rate_hz: f64) -> Self {
        let (zeros, poles) = (digital_roots(zero_rad_s / rate_hz), digital_roots(pole_rad_s / rate_hz));
        // |1 - z e^(-j theta)|² = (1 - z)² + 4 z u is linear in u with slope 4 z, and both cubics have the same
        // leading coefficient, so the ratio of slopes is the whole gain.
        let slope = |roots: &[f64]| roots.iter().product::<f64>();
        Self { zeros, poles, level: (slope(&poles) / slope(&zeros)).sqrt() }
    }

    /// `|K|²` of the sections at `hz`.
    pub(super) fn power(&self, hz: f64, rate_hz: f64) -> f64 {
        let u = (PI * hz / rate_hz).sin().powi(2);
        let factor = |z: f64| (1.0 - z).powi(2) + 4.0 * z * u;
        let ratio: f64 = (0..SECTIONS).map(|i| factor(self.zeros[i]) / factor(self.poles[i])).product();
        self.level * self.level * ratio
    }
}
