use std::f64::consts::TAU;

use rustfft::num_complex::Complex64;

use super::polynomial::Polynomial;
use crate::circuit::{Pickup, Shunt};

/// The response of a pickup into a load, at the pickup's terminals against its open-circuit voltage:
/// `H = Y_s / (Y_s + Y_L)` (voltage divider of two admittances).
#[derive(Debug, Clone, PartialEq)]
pub struct Transfer {
    pub(super) numerator: Polynomial,
    pub(super) denominator: Polynomial,
}

impl Transfer {
    /// The response of `pickup` with `load` across it.
    pub fn new(pickup: &Pickup, load: Shunt) -> Self {
        let source = pickup.admittance();
        let total = source + load;
        Self {
            numerator: Polynomial::first_order(source.siemens, source.farads),
            denominator: Polynomial::first_order(total.siemens, total.farads),
        }
    }

    /// `H` at `hz`.
    pub fn at(&self, hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        self.numerator.at(s) / self.denominator.at(s)
    }

    /// Level lost at `hz` against the unloaded pickup, in dB; positive is a loss.
    pub fn loss_db(&self, hz: f64) -> f64 {
        -10.0 * self.at(hz).norm_sqr().log10()
    }

    /// The corner of the loading high-pass in Hz, `1 / (2π R (C_p + C))`; zero if nothing conducts.
    pub fn corner_hz(&self) -> f64 {
        self.denominator.corner_rad_s() / TAU
    }

    /// The loss that is left far above the corner, in dB: what a shunt capacitance costs at every frequency,
    /// `20 log10((C_p + C) / C_p)`. A gain control restores it.
    pub fn level_loss_db(&self) -> f64 {
        20.0 * (self.denominator.leading() / self.numerator.leading()).log10()
    }
}
