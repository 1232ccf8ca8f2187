use std::f64::consts::TAU;

use rustfft::num_complex::Complex64;

use super::Shape;
use super::change::cancel_roots;
use crate::circuit::{Chain, Factored, Feed, Knobs, Pickups};
use crate::polynomial::{Roots, roots};

/// A pole closer than this to a zero, relative to its distance from the origin, is no corner: rounding was seen to part those of seven
/// branches by more than 1e-10.
const CANCELLED: f64 = 1e-9;

/// The response of a pickup into a chain, where the box that is listened to listens, against the pickup's open-circuit
/// voltage: for a capacitive pickup and a plain input `H = Y_s / (Y_s + Y_L)`, the voltage divider of two admittances.
#[derive(Debug, Clone, PartialEq)]
pub struct Transfer {
    pub(super) factored: Factored,
    pub(super) sign: f64,
    pub(super) unloaded: bool,
}

impl Transfer {
    /// The response of an instrument's only pickup, or of the first of two.
    pub fn new(pickups: &Pickups, chain: &Chain) -> Self {
        Self::of(pickups, 0, chain)
    }

    /// The response of the pickup `index` (0 or 1) of an instrument, the other one silent.
    pub fn of(pickups: &Pickups, index: usize, chain: &Chain) -> Self {
        Self {
            factored: pickups.ladder(index, chain, None).transfer(),
            sign: pickups.sign(index),
            unloaded: chain.is_empty(),
        }
    }

    /// The response of the pickup `index` at the jack that `chain` is plugged into, and not where the box listens that is listened to: what a
    /// source without an impedance has to put there in place of the pickup, so that everything behind is as with the pickup (the substitution
    /// theorem of textbooks).
    pub fn at_jack(pickups: &Pickups, index: usize, chain: &Chain) -> Self {
        Self {
            factored: pickups.ladder_to_jack(index, chain).transfer(),
            sign: pickups.sign(index),
            unloaded: chain.is_empty(),
        }
    }

    /// The response of what is played from a feed into `chain`, against the feed's own voltage without any load.
    pub fn of_feed(feed: &Feed, chain: &Chain) -> Self {
        Self { factored: feed.ladder(chain).transfer(), sign: 1.0, unloaded: false }
    }

    /// The same with values that are being turned in place of the chain's own. Real-time safe.
    pub fn with_knobs(pickups: &Pickups, index: usize, chain: &Chain, knobs: &Knobs) -> Self {
        Self {
            factored: pickups.ladder(index, chain, Some(knobs)).transfer(),
            sign: pickups.sign(index),
            unloaded: chain.is_empty() && knobs.is_nothing(),
        }
    }

    /// Whether nothing loads the pickup.
    pub const fn is_unloaded(&self) -> bool {
        self.unloaded
    }

    /// `H` at `hz`.
    pub fn at(&self, hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        let zeros =
            self.factored.zeros.iter().fold(Complex64::from(self.sign), |product, zero| product * zero.at(s));
        zeros / self.factored.denominator.at(s)
    }

    /// Level lost at `hz` against the open-circuit voltage, in dB; positive is a loss.
    pub fn loss_db(&self, hz: f64) -> f64 {
        -10.0 * self.at(hz).norm_sqr().log10()
    }

    /// Where `H` is infinite: its corners and resonances. A pole that a zero cancels, as of two branches of one time constant, is none.
    pub fn poles(&self) -> Roots {
        self.shape().poles
    }

    /// Where `H` is zero, and no pole cancels it.
    pub fn zeros(&self) -> Roots {
        self.shape().zeros
    }

    fn shape(&self) -> Shape {
        let zeros = self.factored.zeros.iter().flat_map(|zero| roots(zero).to_vec()).collect();
        let mut shape = Shape { gain: self.sign, zeros, poles: roots(&self.factored.denominator) };
        cancel_roots(&mut shape, CANCELLED);
        shape
    }

    /// The highest natural frequency of its poles in Hz: of one alone the corner of the loading high-pass, for a plain input
    /// `1 / (2π R (C_p + C))`; zero if nothing conducts.
    pub fn highest_natural_hz(&self) -> f64 {
        self.poles().iter().map(|pole| pole.natural_rad_s()).fold(0.0, f64::max) / TAU
    }

    /// The loss that is left far above all corners, in dB: what a shunt capacitance costs a capacitive pickup at every
    /// frequency, `20 log10((C_p + C) / C_p)`. A gain control restores it.
    pub fn level_loss_db(&self) -> f64 {
        let leading: f64 = self.factored.zeros.iter().map(|zero| zero.leading()).product();
        20.0 * (self.factored.denominator.leading() / leading).log10()
    }
}
