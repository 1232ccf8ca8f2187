use dsp_core::circuit::Thru;

use super::ways::{boxes, turned};
use super::{Doing, Outcome, Situation};

/// A box on whose thru the advice depends: whether it is buffered.
pub(super) struct Doubt {
    pub name: String,
    /// What it is taken for.
    pub is_buffered: bool,
    /// What becomes of the pickups if it is the other.
    pub otherwise: Outcome,
    /// The setup in which it would be, if that is another one.
    pub setup: Option<usize>,
}

impl Doubt {
    /// Of what is to be done, first of all; else of a setup that would be better than that if its thru were buffered.
    pub fn new(situation: &Situation, doing: &Doing) -> Option<Self> {
        let own = Self::of(situation, doing.setup, doing);
        own.or_else(|| {
            let others = (0..situation.setups.len()).filter(|index| *index != doing.setup);
            let others = others.filter(|_| situation.chosen.is_none());
            others.filter_map(|index| Self::of_other(situation, index, doing)).next()
        })
    }

    fn of(situation: &Situation, index: usize, doing: &Doing) -> Option<Self> {
        let setup = &situation.setups[index];
        let doubt = |(at, name, thru): (usize, &str, Thru)| {
            let otherwise = situation.outcome(setup, &turned(&doing.chain, at)?);
            let matters = otherwise.merit.steps_over(&doing.outcome.merit).abs() >= 1.0;
            matters.then(|| Self {
                name: name.to_owned(),
                is_buffered: thru == Thru::After,
                otherwise,
                setup: None,
            })
        };
        boxes(&doing.chain)
            .filter(|(_, _, loads)| *loads)
            .filter_map(|(at, input, _)| Some((at, input.name.as_str(), input.thru?)))
            .find_map(doubt)
    }

    fn of_other(situation: &Situation, index: usize, doing: &Doing) -> Option<Self> {
        let setup = &situation.setups[index];
        let in_parallel =
            boxes(&setup.chain).filter(|(_, input, loads)| *loads && input.thru == Some(Thru::Before));
        let mut better = in_parallel.filter_map(|(at, input, _)| {
            let otherwise = situation.outcome(setup, &turned(&setup.chain, at)?);
            let gains = otherwise.merit.steps_over(&doing.outcome.merit) >= 1.0;
            gains.then(|| Self {
                name: input.name.clone(),
                is_buffered: false,
                otherwise,
                setup: Some(index),
            })
        });
        better.next()
    }
}
