use super::{Immittance, Ladder, Visit, each};
use crate::polynomial::Polynomial;
use crate::units::{Capacitance, Resistance};

/// A capacitive pickup: a charge `Q` in its capacitance, with an optional leakage across it, `Y_s = s C_p + 1/R_leak`. Losses count
/// against the pickup without leakage or load, whose voltage is `Q/C_p`: as a voltage source (Thévenin's theorem) it is
/// `Q/C_p · s C_p/Y_s` behind `1/Y_s`. 200 pF to 20 nF are usual (common practice, no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CapacitivePickup {
    /// Source capacitance.
    pub capacitance: Capacitance,
    /// Leakage resistance across the capacitance; finite in old elements and damp cables.
    pub leakage: Option<Resistance>,
}

impl CapacitivePickup {
    /// The leakage's conductance in siemens.
    pub fn leakage_siemens(&self) -> f64 {
        self.leakage.map_or(0.0, |leakage| leakage.ohms().recip())
    }

    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { capacitance, leakage } = self;
        visit(capacitance);
        each(leakage, visit);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        let farads = self.capacitance.farads();
        let source = Immittance::linear(self.leakage_siemens(), farads);
        ladder.source(source.inverse(), Polynomial::linear(0.0, farads));
    }
}
