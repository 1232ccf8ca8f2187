use super::{Immittance, Ladder, Taper, Visit};
use crate::units::{Percent, Resistance};

/// Of a pot's resistance, as much stays below the wiper at its lower stop (common practice, no source).
const END_PART: f64 = 1e-3;

/// A volume pot on the instrument, a divider: the part above the wiper in series, the part below it to ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VolumePot {
    /// Resistance from end to end.
    pub resistance: Resistance,
    /// How it follows the position.
    pub taper: Taper,
    /// How far it is turned up.
    pub position: Percent,
}

impl VolumePot {
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { resistance, taper: _, position: _ } = self;
        visit(resistance);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        let below = self.taper.part(self.position).max(END_PART);
        let ohms = self.resistance.ohms();
        if below < 1.0 {
            ladder.series(Immittance::real(ohms * (1.0 - below)));
        }
        ladder.shunt(Immittance::real((ohms * below).recip()));
    }
}
