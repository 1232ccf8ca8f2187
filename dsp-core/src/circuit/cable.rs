use super::{Immittance, Ladder, Shunt, Visit, each};
use crate::units::{Capacitance, Length, Resistance};

/// An instrument cable: at audio frequencies a shunt capacitance, `Y = s C'·length`, and where it is damp a leakage
/// across it, `+ 1/R`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable {
    /// Length.
    pub length: Length,
    /// Capacitance of one metre, [`Cable::PER_METRE_FARADS`] unless said otherwise.
    pub per_metre: Option<Capacitance>,
    /// Leakage resistance across the whole cable, if it is damp.
    pub leakage: Option<Resistance>,
}

impl Cable {
    /// Default capacitance per metre, 100 pF; 60 to 150 pF are usual (common practice, no source).
    pub const PER_METRE_FARADS: f64 = 100e-12;

    /// A dry cable of the default capacitance.
    pub const fn new(length: Length) -> Self {
        Self { length, per_metre: None, leakage: None }
    }

    /// What it puts across the pickup.
    pub fn shunt(&self) -> Shunt {
        let per_metre = self.per_metre.map_or(Self::PER_METRE_FARADS, Capacitance::farads);
        let siemens = self.leakage.map_or(0.0, |leakage| leakage.ohms().recip());
        Shunt { siemens, farads: per_metre * self.length.metres() }
    }

    pub(super) fn each_value(&mut self, visit: &mut Visit<'_>) {
        let Self { length, per_metre, leakage } = self;
        visit(length);
        each(per_metre, visit);
        each(leakage, visit);
    }

    pub(super) fn add_to(&self, ladder: &mut Ladder) {
        let Shunt { siemens, farads } = self.shunt();
        ladder.shunt(Immittance::linear(siemens, farads));
    }
}
