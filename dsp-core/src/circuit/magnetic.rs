use super::{Immittance, Ladder, Visit, each};
use crate::units::{Capacitance, Inductance, Resistance};

/// A magnetic pickup: a voltage behind its coil's resistance and inductance, `Z_s = R + s L`, and the capacitance between
/// its turns across both. 2 to 8 H, 5 to 15 kΩ and 50 to 200 pF are usual (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagneticPickup {
    /// The coil's inductance.
    pub inductance: Inductance,
    /// The coil's resistance.
    pub resistance: Resistance,
    /// The winding's capacitance.
    pub winding: Option<Capacitance>,
}

impl MagneticPickup {
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { inductance, resistance, winding } = self;
        visit(inductance);
        visit(resistance);
        each(winding, visit);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        ladder.series(Immittance::linear(self.resistance.ohms(), self.inductance.henries()));
        if let Some(winding) = self.winding {
            ladder.shunt(Immittance::linear(0.0, winding.farads()));
        }
    }
}
