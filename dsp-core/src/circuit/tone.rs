use super::{Immittance, Ladder, Taper, Visit};
use crate::units::{Capacitance, Percent, Resistance};

/// A tone control: a pot as a variable resistor in series with a capacitor, both across the pickup,
/// `Y = s C/(1 + s R C)`. Turned up fully its whole resistance is in the way of the highs to ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToneControl {
    /// The pot's resistance.
    pub resistance: Resistance,
    /// The capacitor.
    pub capacitance: Capacitance,
    /// How the resistance follows the position.
    pub taper: Taper,
    /// How far it is turned up.
    pub position: Percent,
}

impl ToneControl {
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { resistance, capacitance, taper: _, position: _ } = self;
        visit(resistance);
        visit(capacitance);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        let mut branch = Ladder::default();
        let ohms = self.resistance.ohms() * self.taper.part(self.position);
        if ohms > 0.0 {
            branch.series(Immittance::real(ohms));
        }
        branch.shunt(Immittance::linear(0.0, self.capacitance.farads()));
        ladder.load(&branch);
    }
}
