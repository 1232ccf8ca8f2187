use super::{Immittance, Ladder, Visit, each};
use crate::units::{Capacitance, Inductance, NominalInput, Ratio, Resistance};

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
    /// What is usual of a passive box of which only the nominal input is known, with values of the E6 series: a primary of 22 to 150 H, a
    /// winding of 1.5 kΩ, and a load on the secondary that is reflected as the nominal input, core and all (common practice, no source).
    ///
    /// The nominal input says nothing of the primary, which a core and the turns that fit around it decide; and as the core is driven, the
    /// same transformer has half of its inductance or twice as much. So it is a range, over which 1 nF loses 40 to 57 dB at E1 where a resistor
    /// of 140 kΩ would cost 29. The ratio of ten stands for all: what counts is the load that it reflects.
    ///
    /// # Panics
    /// Never: all values lie within their ranges.
    pub fn usual(nominal: NominalInput) -> Self {
        const RATIO: f64 = 10.0;
        let input = nominal.resistance();
        let secondary = Resistance::from_ohms(input.ohms() / RATIO.powi(2)).expect("100 Ω to 5 kΩ");
        Self {
            primary: "22 H to 150 H".parse().expect("an inductance"),
            winding: Some(Resistance::from_ohms(1500.0).expect("a resistance")),
            ratio: Ratio::from_value(RATIO).expect("a ratio"),
            secondary: secondary.with_tolerance(input.tolerance()),
            capacitance: None,
            core: None,
        }
    }

    /// Whether nothing of it is known but what [`Transformer::usual`] takes.
    pub fn is_usual(&self) -> bool {
        let usual = "140k".parse().map(Self::usual);
        usual.is_ok_and(|usual| Self { secondary: self.secondary, ..usual } == *self)
    }

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
