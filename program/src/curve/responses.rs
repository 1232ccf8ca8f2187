//! What is drawn and listed of a setup.

use dsp_core::circuit::{Pickups, Spread};
use dsp_core::response::{Range, Transfer};

use crate::source::NamedChain;

/// The responses of a setup: one, or of a blend one a pickup.
pub struct Responses {
    parts: Vec<Transfer>,
    spread: Option<Spread>,
}

impl Responses {
    pub fn new(pickups: &Pickups, setup: &NamedChain) -> Self {
        let pickups = pickups.with_positions(setup.positions);
        let parts = (0..pickups.count()).map(|index| Transfer::of(&pickups, index, &setup.chain)).collect();
        Self { parts, spread: Spread::of(&pickups, [&setup.chain]) }
    }

    /// What there is, by name: each pickup alone, and of a blend both together, which has no index.
    pub fn parts(&self) -> Vec<(&'static str, Option<usize>)> {
        match self.parts.len() {
            1 => vec![("1", Some(0))],
            _ => vec![("1", Some(0)), ("2", Some(1)), ("both", None)],
        }
    }

    /// Real part, imaginary part and level in dB at `hz`, of one pickup or of all: with the same open-circuit voltage in each,
    /// responses add up, polarity included.
    pub fn at(&self, index: Option<usize>, hz: f64) -> (f64, f64, f64) {
        let h = match index {
            Some(index) => self.parts[index].at(hz),
            None => self.parts.iter().map(|transfer| transfer.at(hz)).sum(),
        };
        (h.re, h.im, 10.0 * h.norm_sqr().log10())
    }

    /// Whether any value carries a tolerance.
    pub fn has_spread(&self) -> bool {
        self.spread.is_some()
    }

    /// The lowest and the highest level in dB at `hz` within the tolerances, of one pickup or of all.
    pub fn band(&self, index: Option<usize>, hz: f64) -> Option<Range> {
        let loss = self.spread.as_ref()?.curve_db(index, hz);
        Some(Range { low: -loss.high, high: -loss.low })
    }

    /// The level of all that sounds, in dB.
    pub fn db(&self, hz: f64) -> f64 {
        self.at(None, hz).2
    }
}
