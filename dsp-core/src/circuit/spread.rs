use super::{Chain, Pickups};
use crate::units::Toleranced;

/// What is done with each value that may carry a tolerance. Each element names its own, so that none is forgotten.
pub(super) type Visit<'a> = dyn FnMut(&mut dyn Toleranced) + 'a;

/// Visits a value that an element may have.
pub(super) fn each<T: Toleranced>(value: &mut Option<T>, visit: &mut Visit<'_>) {
    if let Some(value) = value {
        visit(value);
    }
}

/// Pickups and chains of which some values carry tolerances.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    pickups: Pickups,
    chains: Vec<Chain>,
    count: usize,
}

impl Spread {
    /// `None` if no value carries a tolerance. What stands behind a buffer counts too.
    pub fn of<'a>(pickups: &Pickups, chains: impl IntoIterator<Item = &'a Chain>) -> Option<Self> {
        let mut spread = Self { pickups: *pickups, chains: chains.into_iter().cloned().collect(), count: 0 };
        let mut count = 0;
        spread.each_value(&mut |value| count += usize::from(!value.tolerance().is_none()));
        spread.count = count;
        (count > 0).then_some(spread)
    }

    /// How many values carry a tolerance.
    pub(crate) const fn count(&self) -> usize {
        self.count
    }

    /// The circuit with each of these values at a place within its tolerance, from -1 at the lower end to 1 at the upper one.
    pub(crate) fn at(&self, places: &[f64]) -> (Pickups, Vec<Chain>) {
        let mut settled = self.clone();
        let mut places = places.iter();
        settled.each_value(&mut |value| {
            if !value.tolerance().is_none() {
                value.settle(places.next().copied().unwrap_or(0.0));
            }
        });
        (settled.pickups, settled.chains)
    }

    fn each_value(&mut self, visit: &mut Visit<'_>) {
        self.pickups.each_value(visit);
        self.chains.iter_mut().for_each(|chain| chain.each_value(visit));
    }
}
