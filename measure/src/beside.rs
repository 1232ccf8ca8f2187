//! What stands across a pickup, with how well it is known.

use dsp_core::circuit::{Cable, Chain, Link};
use dsp_core::units::{Capacitance, Length, Load, Resistance};

use crate::Refusal;

/// What a metre of cable may have more or less than it is taken for, where nothing is said: 60 to 150 pF are usual (common practice, no
/// source).
const CABLE_PART: f64 = 0.3;

/// Two standard deviations of what lies anywhere within ±1 with the same chance, 1/√3 each.
const TWO_DEVIATIONS: f64 = 1.154_700_538_379_251_7;

/// A value in SI units, and how far the truth may be below and above, 19 times in 20.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Known {
    pub value: f64,
    pub below: f64,
    pub above: f64,
}

impl Known {
    /// Anything between two ends with the same chance.
    pub fn within(value: f64, (low, high): (f64, f64)) -> Self {
        Self { value, below: TWO_DEVIATIONS * (value - low), above: TWO_DEVIATIONS * (high - value) }
    }

    /// With the other sign.
    pub fn negative(self) -> Self {
        Self { value: -self.value, below: self.above, above: self.below }
    }

    /// The sum of two that know nothing of each other.
    pub fn plus(self, other: Self) -> Self {
        Self {
            value: self.value + other.value,
            below: self.below.hypot(other.below),
            above: self.above.hypot(other.above),
        }
    }
}

/// A conductance beside a capacitance.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Beside {
    pub siemens: Known,
    pub farads: Known,
}

impl Beside {
    /// All parts of a load in parallel.
    ///
    /// # Errors
    /// If one of them is no resistance, capacitance or cable.
    pub fn new(load: &Load) -> Result<Self, Refusal> {
        let chain = Chain::from(load);
        chain.loading().try_fold(Self::default(), |sum, link| {
            let part = match link {
                Link::Resistance(value) => Self { siemens: conductance(*value), ..Self::default() },
                Link::Capacitance(value) => Self::of_capacitance(*value),
                Link::Cable(cable) => Self::of_cable(cable),
                Link::Box(_) | Link::Splitter(_) | Link::Inductance(_) => {
                    return Err(Refusal::LoadWithInductance { load: load.to_string() });
                }
            };
            Ok(sum.plus(part))
        })
    }

    /// A capacitance with its tolerance.
    pub fn of_capacitance(value: Capacitance) -> Self {
        Self { farads: capacitance(value), ..Self::default() }
    }

    /// A cable, and its leakage.
    pub fn of_cable(cable: &Cable) -> Self {
        let siemens = cable.leakage.map(conductance).unwrap_or_default();
        Self { siemens, farads: cable_farads(cable.length, cable.per_metre) }
    }

    /// Its capacitance as the trade writes it.
    pub fn shown_farads(&self) -> Capacitance {
        shown(self.farads.value)
    }

    /// Both in parallel.
    pub fn plus(self, other: Self) -> Self {
        Self { siemens: self.siemens.plus(other.siemens), farads: self.farads.plus(other.farads) }
    }
}

fn capacitance(value: Capacitance) -> Known {
    Known::within(value.farads(), value.ends())
}

/// As the trade writes it, at the nearest that it may be.
pub(crate) fn shown(farads: f64) -> Capacitance {
    Capacitance::from_farads(farads.clamp(Capacitance::LOWEST, Capacitance::HIGHEST))
        .expect("between the ends")
}

fn conductance(value: Resistance) -> Known {
    let (low, high) = value.ends();
    Known::within(value.ohms().recip(), (high.recip(), low.recip()))
}

fn cable_farads(length: Length, per_metre: Option<Capacitance>) -> Known {
    let usual = Cable::PER_METRE_FARADS;
    let metre = per_metre.map_or_else(
        || Known::within(usual, (usual * (1.0 - CABLE_PART), usual * (1.0 + CABLE_PART))),
        capacitance,
    );
    let metres = Known::within(length.metres(), length.ends());
    Known {
        value: metre.value * metres.value,
        below: (metre.below * metres.value).hypot(metre.value * metres.below),
        above: (metre.above * metres.value).hypot(metre.value * metres.above),
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn beside(load: &str) -> Beside {
        Beside::new(&load.parse().expect("a load")).expect("no inductance")
    }

    #[test]
    fn parts_add_up() {
        // Ohm: 1 MΩ beside 1.5 MΩ are 600 kΩ; a metre of cable has 100 pF (common practice, no source).
        let both = beside("1M || 1.5M || 2 m || 50p");
        assert_relative_eq!(both.siemens.value, 1.0 / 600e3, max_relative = 1e-12);
        assert_relative_eq!(both.farads.value, 250e-12, max_relative = 1e-12);
        assert_relative_eq!(both.farads.above, 60e-12 * 2.0 / 3f64.sqrt(), max_relative = 1e-12);
        assert_eq!(both.siemens.above, 0.0);
        assert_eq!(beside("none"), Beside::default());
    }

    #[test]
    fn tolerances_of_parts_add_in_quadrature() {
        let both = beside("300p ±10 % || 400p ±10 %");
        assert_relative_eq!(both.farads.below, 50e-12 * 2.0 / 3f64.sqrt(), max_relative = 1e-12);
        // A higher resistance conducts less: 100 kΩ + 25 % conduct 8 µS.
        let one = beside("100k ±25 %").siemens;
        assert_relative_eq!(one.below, 2e-6 * 2.0 / 3f64.sqrt(), max_relative = 1e-12);
        assert_relative_eq!(one.above, (1e-5 / 0.75 - 1e-5) * 2.0 / 3f64.sqrt(), max_relative = 1e-12);
    }

    #[test]
    fn what_has_an_inductance_is_refused() {
        for load in ["1M || 50 H", "transformer 140k"] {
            let refused = Beside::new(&load.parse().expect("a load"));
            assert!(matches!(refused, Err(Refusal::LoadWithInductance { .. })), "{refused:?}");
        }
    }
}
