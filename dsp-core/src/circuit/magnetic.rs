use super::{Immittance, Ladder, Visit, each};
use crate::polynomial::Polynomial;
use crate::units::{Capacitance, Inductance, Resistance};

/// A magnetic pickup: a voltage behind its coil's resistance and inductance, and the capacitance between its turns across both.
/// The losses of core and cover (eddy currents) are a resistance across the inductance, `Z_s = R + s L ∥ R_e`; they decide how high
/// the resonance is. 2 to 8 H, 5 to 15 kΩ, 50 to 200 pF and 100 kΩ to 1 MΩ are usual (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MagneticPickup {
    /// The coil's inductance.
    pub inductance: Inductance,
    /// The coil's resistance.
    pub resistance: Resistance,
    /// The winding's capacitance.
    pub winding: Option<Capacitance>,
    /// Losses of core and cover, as a resistance across the inductance.
    pub loss: Option<Resistance>,
}

impl MagneticPickup {
    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { inductance, resistance, winding, loss } = self;
        visit(inductance);
        visit(resistance);
        each(winding, visit);
        each(loss, visit);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        ladder.series(self.impedance());
        if let Some(winding) = self.winding {
            ladder.shunt(Immittance::linear(0.0, winding.farads()));
        }
    }

    /// `R + s L`, or with losses `(R R_e + s L (R + R_e))/(R_e + s L)`.
    fn impedance(&self) -> Immittance {
        let (ohms, henries) = (self.resistance.ohms(), self.inductance.henries());
        let Some(loss) = self.loss.map(Resistance::ohms) else { return Immittance::linear(ohms, henries) };
        Immittance::new(
            Polynomial::linear(ohms * loss, henries * (ohms + loss)),
            Polynomial::linear(loss, henries),
        )
    }
}
