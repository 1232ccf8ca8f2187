use serde::Deserialize;

use super::{Immittance, Ladder, Pickup, Visit, each};
use crate::units::Resistance;

/// Which way round a pickup is wired.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Polarity {
    /// As it is.
    #[default]
    Same,
    /// The other way round.
    Reversed,
}

impl Polarity {
    /// 1 or -1.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Same => 1.0,
            Self::Reversed => -1.0,
        }
    }
}

/// One pickup of a blend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blended {
    /// The pickup.
    pub pickup: Pickup,
    /// Mixing resistor between its jack and the common one; joined directly without.
    pub mixing: Option<Resistance>,
    /// Which way round it is wired.
    pub polarity: Polarity,
}

impl Blended {
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { pickup, mixing, polarity: _ } = self;
        pickup.each_value(visit);
        each(mixing, visit);
    }

    fn add_to(&self, ladder: &mut Ladder) {
        self.pickup.add_to(ladder);
        if let Some(mixing) = self.mixing {
            ladder.series(Immittance::real(mixing.ohms()));
        }
    }
}

/// From the source of the pickup `index` (0 or 1) of two to their common jack, with the other pickup, its source silent, across it
/// (superposition).
pub(super) fn add_to(both: &[Blended; 2], index: usize, ladder: &mut Ladder) {
    both[index].add_to(ladder);
    let mut other = Ladder::default();
    both[1 - index].add_to(&mut other);
    ladder.load_with_output_of(&other);
}
