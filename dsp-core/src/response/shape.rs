use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use super::change::{SAME_ROOT, cancel_roots};
use super::summit::loudest_rad_s;
use crate::polynomial::{Root, Roots};

/// What a change does to sound: a ratio of polynomials by its roots, `K(s) = gain · Π (s - zero) / Π (s - pole)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// The ratio of the leading coefficients: `K` at the top of the band where there are as many zeros as poles. Not zero;
    /// negative for a pickup that is wired the other way round. In `(rad/s)^(poles - zeros)`.
    pub gain: f64,
    /// Where `K` is zero.
    pub zeros: Roots,
    /// Where `K` is infinite.
    pub poles: Roots,
}

/// A [`Shape`] of first order or less but for its sign, `K(s) = gain · (s + zero) / (s + pole)`; flat where both are the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FirstOrder {
    pub gain: f64,
    pub zero_rad_s: f64,
    pub pole_rad_s: f64,
}

impl FirstOrder {
    pub fn is_flat(&self) -> bool {
        self.zero_rad_s == self.pole_rad_s
    }
}

impl Shape {
    /// Changes nothing.
    pub const UNCHANGED: Self = Self::flat(1.0);

    /// Nothing but a gain.
    pub const fn flat(gain: f64) -> Self {
        Self { gain, zeros: Roots::NONE, poles: Roots::NONE }
    }

    /// `gain · (s + zero) / (s + pole)`, corners in rad/s; flat where they are the same.
    pub fn first_order(gain: f64, zero_rad_s: f64, pole_rad_s: f64) -> Self {
        if zero_rad_s == pole_rad_s {
            return Self::flat(gain);
        }
        let root = |rad_s| Roots::from_iter([Root::real(rad_s)]);
        Self { gain, zeros: root(zero_rad_s), poles: root(pole_rad_s) }
    }

    /// With a high-pass of second order behind it that is flat above its corner (Butterworth's), `s²/(s² + √2 wc s + wc²)`: it costs
    /// `10 log10(1 + (corner/f)⁴)` dB at `f`.
    #[must_use]
    pub(super) fn with_high_pass(mut self, corner_hz: f64) -> Self {
        let part = TAU * corner_hz * FRAC_1_SQRT_2;
        [0.0, 0.0].map(Root::real).into_iter().for_each(|zero| self.zeros.push(zero));
        self.poles.push(Root::pair(part, part));
        cancel_roots(&mut self, SAME_ROOT);
        self
    }

    /// As a first-order ratio, if it is one; with a positive gain.
    pub(crate) fn as_first_order(&self) -> Option<FirstOrder> {
        let (zero_rad_s, pole_rad_s) = match (self.zeros.as_slice(), self.poles.as_slice()) {
            ([], []) => (0.0, 0.0),
            ([zero], [pole]) if zero.is_real() && pole.is_real() => (zero.decay_rad_s, pole.decay_rad_s),
            _ => return None,
        };
        Some(FirstOrder { gain: self.gain.abs(), zero_rad_s, pole_rad_s })
    }

    /// Whether it can be run: finite, a gain that is not zero, every root in the left half plane, every pole that rings also decaying.
    pub(crate) fn is_valid(&self) -> bool {
        // Beyond what any circuit has, squares would overflow.
        let corner = |rad_s: f64| (0.0..1e100).contains(&rad_s);
        let roots = || self.zeros.iter().chain(self.poles.iter());
        self.gain.is_finite()
            && self.gain != 0.0
            && roots().all(|root| corner(root.decay_rad_s) && corner(root.ring_rad_s))
            && self.poles.iter().all(|pole| pole.is_real() || pole.decay_rad_s > 0.0)
    }

    /// Whether it is only a gain.
    pub fn is_flat(&self) -> bool {
        self.zeros.is_empty() && self.poles.is_empty()
    }

    /// `|K|²` at `hz`.
    pub fn power(&self, hz: f64) -> f64 {
        self.power_at(TAU * hz)
    }

    /// `|K|²` at `w` in rad/s.
    pub(super) fn power_at(&self, w: f64) -> f64 {
        let mut zeros = self.zeros.iter().map(|zero| zero.power(w));
        let mut poles = self.poles.iter().map(|pole| pole.power(w));
        let mut power = self.gain * self.gain;
        // In turn, so that no product on the way overflows.
        loop {
            match (zeros.next(), poles.next()) {
                (None, None) => return power,
                (zero, pole) => power *= zero.unwrap_or(1.0) / pole.unwrap_or(1.0),
            }
        }
    }

    /// `|K|` at `hz` in dB.
    pub fn db(&self, hz: f64) -> f64 {
        10.0 * self.power(hz).log10()
    }

    /// The largest boost in dB, at DC, at the top of the band or between. Infinite with an uncancelled pole at DC, negative for
    /// a cut.
    pub fn boost_db(&self) -> f64 {
        20.0 * self.boost().log10()
    }

    /// The same as a factor.
    pub(super) fn boost(&self) -> f64 {
        self.power_at(loudest_rad_s(self)).sqrt()
    }

    /// How long it rings on, down by 120 dB, in seconds; infinite with a pole at DC.
    pub(crate) fn tail_seconds(&self) -> f64 {
        const LN_120_DB: f64 = 13.815_510_557_964_274;
        let slowest = self.poles.iter().map(|pole| pole.decay_rad_s).fold(f64::INFINITY, f64::min);
        LN_120_DB / slowest
    }
}
