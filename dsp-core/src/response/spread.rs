//! Figures of a circuit whose values carry tolerances, as ranges. Each value may lie anywhere within its tolerance, all of them
//! independently; so the range is the least and the greatest figure over all of them at once.

use super::extremes::{Effort, extremes, highest, lowest};
use super::{InputNeeded, Response, input_needed};
use crate::circuit::{Chain, Pickups, Spread};

/// For a figure that is computed at once, such as a loss at a frequency: some milliseconds at most.
const LOSS: Effort = Effort { climbs: 4, budget: 4_000 };

/// For a curve, of which every frequency has its neighbours to be held against.
const CURVE: Effort = Effort { climbs: 1, budget: 400 };

/// For a figure that is itself searched for along frequencies.
const CORNER: Effort = Effort { climbs: 1, budget: 100 };

/// For an input to ask for, which is searched for along resistances.
const NEEDED: Effort = Effort { climbs: 1, budget: 40 };

/// The least and the greatest value of a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The least.
    pub low: f64,
    /// The greatest.
    pub high: f64,
}

impl Spread {
    /// The loss in dB at `hz`.
    pub fn loss_db(&self, hz: f64) -> Range {
        self.range(LOSS, |response| response.loss_db(hz))
    }

    /// The loss in dB at `hz` as a curve needs it: a ridge between several values at once may be missed.
    pub fn loss_db_of_curve(&self, hz: f64) -> Range {
        self.range(CURVE, |response| response.loss_db(hz))
    }

    /// The low end's corner in Hz, as [`Response::corner_hz`] has it.
    pub fn corner_hz(&self) -> Range {
        self.range(CORNER, Response::corner_hz)
    }

    /// Where the top has fallen to half the power of the passband, in Hz; infinite where it does not below 100 kHz.
    pub fn top_corner_hz(&self) -> Range {
        self.range(CORNER, |response| response.top_corner_hz().unwrap_or(f64::INFINITY))
    }

    /// The input that suffices wherever the values lie, as [`input_needed`] has it for one place. An upper end that lies below what is
    /// needed elsewhere is given up.
    pub fn input_needed(&self, lowest_hz: f64, max_loss_db: f64) -> InputNeeded {
        let needed = |at: &[f64]| {
            let (pickups, chains) = self.at(at);
            input_needed(&pickups, &chains[0], lowest_hz, max_loss_db)
        };
        let or_infinite = |ohms: Option<f64>| ohms.unwrap_or(f64::INFINITY);
        let (most, from) = highest(self.count(), NEEDED, |at| or_infinite(needed(at).from_ohms));
        let worst = needed(&most);
        if worst.to_ohms.is_none() && needed(&vec![0.0; self.count()]).to_ohms.is_none() {
            return worst;
        }
        let (_, to) = lowest(self.count(), NEEDED, |at| or_infinite(needed(at).to_ohms));
        InputNeeded { to_ohms: Some(to).filter(|to| to.is_finite() && *to > from), ..worst }
    }

    /// The two ends at which a figure of pickups and chains is least and greatest: where the values lie, each within its tolerance.
    pub fn ends(&self, figure: impl Fn(&Pickups, &[Chain]) -> f64) -> [(Pickups, Vec<Chain>); 2] {
        let found = extremes(self.count(), LOSS, |at| {
            let (pickups, chains) = self.at(at);
            figure(&pickups, &chains)
        });
        found.map(|(at, _)| self.at(&at))
    }

    /// Of a figure of the first chain.
    fn range(&self, effort: Effort, figure: impl Fn(&Response) -> f64) -> Range {
        let [(_, low), (_, high)] = extremes(self.count(), effort, |at| {
            let (pickups, chains) = self.at(at);
            figure(&Response::new(&pickups, &chains[0]))
        });
        Range { low, high }
    }
}
