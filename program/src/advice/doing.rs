use dsp_core::circuit::{Chain, Thru};

use super::ways::{boxes, first, straight};
use super::{Outcome, Situation};

/// Of how many setups other ways are looked at, the best ones, and how many boxes of each.
const MOST_SETUPS: usize = 12;
const MOST_BOXES: usize = 8;

/// What to plug in, and how.
pub struct Doing {
    /// Which setup, counted from zero.
    pub setup: usize,
    pub way: Way,
    /// As it is then plugged in.
    pub chain: Chain,
    pub outcome: Outcome,
    /// As the setup has it.
    pub before: Outcome,
}

/// How a setup is plugged in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Way {
    /// As it says.
    AsItIs,
    /// This box with a buffered thru first.
    First(String),
    /// Straight into this box, nothing in front of it.
    Straight(String),
}

impl Doing {
    /// The best setup, or another way to plug one in if that is worth it; of the chosen one, if one is. `order` has the best one first.
    pub fn new(situation: &Situation, order: &[usize]) -> Option<Self> {
        let looked_at = match situation.chosen {
            Some(chosen) => vec![chosen],
            None => order.to_vec(),
        };
        let as_it_is = |index: usize| {
            let setup = &situation.setups[index];
            let outcome = situation.outcome(setup, &setup.chain);
            Self { setup: index, way: Way::AsItIs, chain: setup.chain.clone(), outcome, before: outcome }
        };
        let best = as_it_is(*looked_at.first()?);
        let others = looked_at.iter().take(MOST_SETUPS).flat_map(|index| Self::others(situation, *index));
        Some(others.fold(best, |best, other| {
            if other.outcome.merit.steps_over(&best.outcome.merit) >= 1.0 { other } else { best }
        }))
    }

    fn others(situation: &Situation, index: usize) -> Vec<Self> {
        let setup = &situation.setups[index];
        let chain = &setup.chain;
        let buffered = boxes(chain).filter(|(_, input, _)| input.thru == Some(Thru::After)).take(MOST_BOXES);
        let moved =
            buffered.filter_map(|(at, input, _)| Some((Way::First(input.name.clone()), first(chain, at)?)));
        let alone = straight(chain).map(|(name, chain)| (Way::Straight(name.to_owned()), chain));
        let before = situation.outcome(setup, chain);
        let other = |(way, chain)| {
            let outcome = situation.outcome(setup, &chain);
            Self { setup: index, way, chain, outcome, before }
        };
        moved.chain(alone).map(other).collect()
    }
}
