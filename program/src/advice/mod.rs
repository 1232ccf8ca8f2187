//! What to do: which setup first, what to ask for or to bring where none is good enough, and how to find out what the answer depends on.
//! One content for a report, a note and their JSON; figures here, sentences in `words`.

mod doing;
mod outcome;
mod remedy;
mod sentences;
mod thru;
mod told;
mod ways;

use dsp_core::circuit::{Chain, Link, Pickups};
use dsp_core::response::{Candidate, Ranking};

use crate::source::{NamedChain, Strings};

pub use doing::{Doing, Way};
pub use outcome::Outcome;
pub use remedy::{Remedy, is_rare};
pub use told::AdviceTold;
pub use ways::{boxes, first, in_front};

use thru::Doubt;

/// What advice is about.
#[derive(Clone, Copy)]
pub struct Situation<'a> {
    pub pickups: &'a Pickups,
    pub setups: &'a [NamedChain],
    pub strings: &'a Strings,
    /// Loss to accept, in dB.
    pub max_loss_db: f64,
    /// What feeds front of house: a setup or a box, by its name.
    pub feed: Option<&'a str>,
    /// The setup that it is about, counted from zero, if that is chosen.
    pub chosen: Option<usize>,
}

/// What to do, in figures.
pub struct Advice<'a> {
    pub situation: Situation<'a>,
    /// The setups that something is plugged into, best first, counted from zero in all setups.
    pub order: Vec<usize>,
    /// Of each setup.
    pub outcomes: Vec<Outcome>,
    ranking: Ranking,
    /// The setups that are ranked: the ranking's own numbers.
    ranked: Vec<usize>,
    pub doing: Doing,
    pub remedy: Remedy,
    doubt: Option<Doubt>,
}

impl<'a> Advice<'a> {
    /// `None` where nothing is plugged in anywhere.
    pub fn new(situation: Situation<'a>) -> Option<Self> {
        let setups = situation.setups;
        let ranked: Vec<usize> = (0..setups.len()).filter(|index| has_input(&setups[*index].chain)).collect();
        let candidate = |index: &usize| {
            let setup = &setups[*index];
            let feeds = situation.feed.is_some_and(|feed| is_fed_by(setup, feed));
            Candidate { chain: &setup.chain, positions: setup.positions, feeds }
        };
        let candidates: Vec<Candidate> = ranked.iter().map(candidate).collect();
        let ranking = Ranking::new(situation.pickups, &candidates, situation.strings.lowest_hz());
        let order: Vec<usize> = ranking.order.iter().map(|place| ranked[*place]).collect();
        let outcomes = setups.iter().map(|setup| situation.outcome(setup, &setup.chain)).collect();
        let doing = Doing::new(&situation, &order)?;
        let remedy = Remedy::new(&situation, &doing);
        let doubt = Doubt::new(&situation, &doing);
        Some(Self { situation, order, outcomes, ranking, ranked, doing, remedy, doubt })
    }

    /// Whether nothing has to be asked for or brought.
    pub const fn is_enough(&self) -> bool {
        matches!(self.remedy, Remedy::Enough)
    }

    /// Whether there is one setup and no other.
    pub fn is_alone(&self) -> bool {
        self.order.len() == 1
    }

    /// Whether the order is the same wherever values lie within their tolerances; `None` where there is nothing to judge.
    pub fn holds(&self) -> Option<bool> {
        (self.ranking.has_spread && self.order.len() > 1).then_some(self.ranking.swaps.is_empty())
    }

    /// Pairs of setups that may change places, the one ahead first.
    fn swaps(&self) -> impl Iterator<Item = (usize, usize)> {
        self.ranking.swaps.iter().map(|(ahead, behind)| (self.ranked[*ahead], self.ranked[*behind]))
    }
}

impl Situation<'_> {
    /// The pickups with a setup's positions of the controls.
    fn pickups_of(&self, setup: &NamedChain) -> Pickups {
        self.pickups.with_positions(setup.positions)
    }

    /// What becomes of the pickups in another chain, with a setup's positions of the controls.
    fn outcome(&self, setup: &NamedChain, chain: &Chain) -> Outcome {
        Outcome::new(&self.pickups_of(setup), chain, self.strings.lowest_hz())
    }
}

/// Whether front of house is fed from a setup: by its name, or by that of a box in it.
fn is_fed_by(setup: &NamedChain, feed: &str) -> bool {
    let feed = feed.trim().to_lowercase();
    let names = setup.chain.links().filter_map(|(link, _)| link.name());
    names.chain([&*setup.name]).any(|name| name.trim().to_lowercase() == feed)
}

/// Whether there is anything to plug into.
fn has_input(chain: &Chain) -> bool {
    chain.loading().any(|link| !matches!(link, Link::Cable(_) | Link::Capacitance(_)))
}
