use super::{Immittance, Ladder, Visit, each};
use crate::units::{Capacitance, Inductance, Ratio, Resistance};

/// A transformer's primary: its own capacitance across the jack, the winding's resistance in series, then the primary
/// inductance with the secondary's load reflected by the square of the turns ratio across it,
/// `1/(R_w + s L ∥ n² R_sec ∥ R_core)` in parallel with `s C` (the low-frequency equivalent circuit of textbooks; leakage inductance
/// and the secondary's own winding are left out). 5 to 500 H, ratios of 5 to 20 and a core of 50 kΩ to 1 MΩ are usual (common practice,
/// no source).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transformer {
    /// Primary inductance.
    pub primary: Inductance,
    /// Resistance of the primary winding.
    pub winding: Option<Resistance>,
    /// Turns ratio, primary to secondary.
    pub ratio: Ratio,
    /// What the secondary is loaded with.
    pub secondary: Resistance,
    /// The primary's own capacitance.
    pub capacitance: Option<Capacitance>,
    /// Losses of the core, as a resistance across the inductance.
    pub core: Option<Resistance>,
}

impl Transformer {
    /// The secondary's load as the primary shows it, `n² R_sec`, in ohms.
    pub fn reflected_ohms(&self) -> f64 {
        self.ratio.value().powi(2) * self.secondary.ohms()
    }

    /// The input resistance in the middle of the band, in ohms: `n² R_sec ∥ R_core`.
    pub fn nominal_ohms(&self) -> f64 {
        let reflected = self.reflected_ohms();
        self.core.map_or(reflected, |core| (reflected.recip() + core.ohms().recip()).recip())
    }

    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { primary, winding, ratio, secondary, capacitance, core } = self;
        visit(primary);
        each(winding, visit);
        visit(ratio);
        visit(secondary);
        each(capacitance, visit);
        each(core, visit);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        self.add_with(self.primary, Some(self.reflected_ohms()), ladder);
    }

    /// With another primary inductance, and another reflected load, in ohms; none if the secondary is open.
    pub(super) fn add_with(&self, primary: Inductance, reflected_ohms: Option<f64>, ladder: &mut Ladder) {
        if let Some(capacitance) = self.capacitance {
            ladder.shunt(Immittance::linear(0.0, capacitance.farads()));
        }
        if let Some(winding) = self.winding {
            ladder.series(Immittance::real(winding.ohms()));
        }
        ladder.shunt(Immittance::inductance(primary.henries()));
        ladder.shunt(Immittance::real(reflected_ohms.map_or(0.0, f64::recip)));
        ladder.shunt(Immittance::real(self.core.map_or(0.0, |core| core.ohms().recip())));
    }
}
