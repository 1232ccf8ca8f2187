use serde::Deserialize;

use super::Shunt;
use crate::units::{Capacitance, Resistance};

/// A capacitive pickup: a voltage behind its capacitance, with an optional leakage across it.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pickup {
    /// Source capacitance.
    pub capacitance: Capacitance,
    /// Leakage resistance across the capacitance; finite in old elements and damp cables.
    pub leakage: Option<Resistance>,
}

impl Pickup {
    /// A pickup without leakage.
    pub const fn new(capacitance: Capacitance) -> Self {
        Self { capacitance, leakage: None }
    }

    /// The source admittance `Y_s = s C_p + 1/R_leak`.
    pub fn admittance(&self) -> Shunt {
        Shunt {
            siemens: self.leakage.map_or(0.0, |leakage| leakage.ohms().recip()),
            farads: self.capacitance.farads(),
        }
    }
}
