use super::{Chain, Immittance, Ladder, Shunt, Visit, each};
use crate::units::Resistance;

/// A splitter without a buffer: one leg feeds a branch of its own, the other goes on along the chain; a resistor may stand
/// in each leg, so that one cannot short the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Splitter {
    /// What the player calls it.
    pub name: String,
    /// Resistor in each leg.
    pub resistor: Option<Resistance>,
    /// What the other leg feeds.
    pub branch: Chain,
}

impl Splitter {
    /// What its branch puts across the pickup in the middle of the band.
    pub fn nominal(&self) -> Shunt {
        let branch = self.branch.shunt();
        match self.resistor {
            Some(resistor) => Shunt { siemens: (resistor.ohms() + branch.ohms()).recip(), farads: 0.0 },
            None => branch,
        }
    }

    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { name: _, resistor, branch } = self;
        each(resistor, visit);
        branch.each_value(visit);
    }

    /// The leg that the chain does not go along: resistor and branch in series.
    pub(super) fn add_branch_to(&self, ladder: &mut Ladder) {
        let mut leg = Ladder::default();
        self.add_leg_to(&mut leg);
        self.branch.add_as_load_to(&mut leg);
        ladder.load(&leg);
    }

    /// The resistor on the way along the chain.
    pub(super) fn add_leg_to(&self, ladder: &mut Ladder) {
        if let Some(resistor) = self.resistor {
            ladder.series(Immittance::real(resistor.ohms()));
        }
    }
}
