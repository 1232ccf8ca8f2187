use serde::Deserialize;

use super::Shunt;
use crate::units::{Capacitance, Resistance};

/// Where a box's thru is taken: decides whether what is plugged into it loads the pickup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Thru {
    /// In parallel with the input: the next box loads the pickup too.
    Before,
    /// Behind the buffer: the pickup does not see what follows.
    After,
}

/// Anything with an instrument jack: its input is a resistance with a capacitance across it, `Y = 1/R + s C`.
#[derive(Debug, Clone, PartialEq)]
pub struct InputBox {
    /// What the player calls it.
    pub name: String,
    /// Input resistance.
    pub input: Resistance,
    /// Input capacitance.
    pub capacitance: Option<Capacitance>,
    /// Its thru; `None` if nothing is plugged into it.
    pub thru: Option<Thru>,
}

impl InputBox {
    /// The input's admittance.
    pub fn admittance(&self) -> Shunt {
        Shunt {
            siemens: self.input.ohms().recip(),
            farads: self.capacitance.map_or(0.0, Capacitance::farads),
        }
    }
}
