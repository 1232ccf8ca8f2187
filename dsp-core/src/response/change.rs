use std::f64::consts::TAU;

use rustfft::num_complex::Complex64;

use super::Transfer;
use super::polynomial::Polynomial;
use crate::circuit::{Pickup, Shunt};

/// Corners closer than this, relative to each other, are one corner: they differ only because the same
/// circuit was written in two ways (`100k || 150k` and `60k`).
const SAME_CORNER: f64 = 1e-12;

/// The most boost that undoing may apply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ceiling {
    /// No frequency is boosted by more than this many dB, more than zero.
    Db(f64),
    /// The exact inverse, with its pole at DC.
    Off,
}

impl Default for Ceiling {
    /// 24 dB.
    fn default() -> Self {
        Self::Db(24.0)
    }
}

/// What turns a take recorded through load A into the same take through load B: `K = H_B / H_A`. Both
/// responses share the pickup's admittance, which cancels; what remains is a ratio of the two totals.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    numerator: Polynomial,
    denominator: Polynomial,
    undoes: bool,
}

impl Change {
    /// From a take of `pickup` recorded with `through` across it to the same with `to` across it.
    pub fn new(pickup: &Pickup, through: Shunt, to: Shunt) -> Self {
        Self {
            numerator: Transfer::new(pickup, through).denominator,
            denominator: Transfer::new(pickup, to).denominator,
            undoes: to == Shunt::default(),
        }
    }

    /// `K` at `hz`, without a ceiling.
    pub fn at(&self, hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        self.numerator.at(s) / self.denominator.at(s)
    }

    /// `K` as a zero, a pole and a gain. Undoing (a change to the unloaded pickup) keeps to the ceiling: the
    /// pole moves from DC (or from the corner of the leakage) up to where the boost at DC, `gain · w_A / pole`, equals it;
    /// `w_A · 10^(-ceiling/20)` for a load without capacitance.
    pub fn shape(&self, ceiling: Ceiling) -> Shape {
        let zero_rad_s = self.numerator.corner_rad_s();
        let mut pole_rad_s = self.denominator.corner_rad_s();
        let mut gain = self.numerator.leading() / self.denominator.leading();
        if let (Ceiling::Db(ceiling_db), true) = (ceiling, self.undoes) {
            let ceiling = 10f64.powf(ceiling_db / 20.0);
            gain = gain.min(ceiling);
            pole_rad_s = pole_rad_s.max(zero_rad_s * gain / ceiling);
        }
        if (zero_rad_s - pole_rad_s).abs() <= SAME_CORNER * zero_rad_s.max(pole_rad_s) {
            pole_rad_s = zero_rad_s;
        }
        if (gain - 1.0).abs() <= SAME_CORNER {
            gain = 1.0;
        }
        Shape { gain, zero_rad_s, pole_rad_s }
    }
}

/// A first-order ratio `K(s) = gain · (s + zero) / (s + pole)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// `K` at the top of the band, a plain factor.
    pub gain: f64,
    /// Corner of the zero in rad/s, zero or more.
    pub zero_rad_s: f64,
    /// Corner of the pole in rad/s, zero or more.
    pub pole_rad_s: f64,
}

impl Shape {
    /// Changes nothing.
    pub const UNCHANGED: Self = Self { gain: 1.0, zero_rad_s: 0.0, pole_rad_s: 0.0 };

    pub(crate) fn is_valid(&self) -> bool {
        // Beyond what any circuit has, squares would overflow.
        let corner = |rad_s: f64| (0.0..1e100).contains(&rad_s);
        self.gain.is_finite() && self.gain > 0.0 && corner(self.zero_rad_s) && corner(self.pole_rad_s)
    }

    /// Whether it is only a gain: zero and pole cancel.
    pub fn is_flat(&self) -> bool {
        self.zero_rad_s == self.pole_rad_s
    }

    /// `|K|²` at `hz`.
    pub fn power(&self, hz: f64) -> f64 {
        if self.is_flat() {
            return self.gain * self.gain;
        }
        let w2 = (TAU * hz).powi(2);
        self.gain * self.gain * (w2 + self.zero_rad_s.powi(2)) / (w2 + self.pole_rad_s.powi(2))
    }

    /// `|K|` at `hz` in dB.
    pub fn db(&self, hz: f64) -> f64 {
        10.0 * self.power(hz).log10()
    }

    /// The largest boost in dB: at DC, `20 log10(gain · zero / pole)`, or at the top of the band. Infinite for an undo
    /// without ceiling, negative for a cut.
    pub fn boost_db(&self) -> f64 {
        let rise = if self.is_flat() { 1.0 } else { self.zero_rad_s / self.pole_rad_s };
        20.0 * (self.gain * rise.max(1.0)).log10()
    }
}
