use std::fmt;
use std::str::FromStr;

use super::{Problem, Resistance, UnitError};

/// The nominal input of a passive box, 10 kΩ to 500 kΩ: all that is known of it as a rule. Reads what a [`Resistance`] does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NominalInput(Resistance);

impl NominalInput {
    /// What passive boxes say of themselves, in ohms (common practice, no source).
    const USUAL_OHMS: (f64, f64) = (10e3, 500e3);

    /// Whether passive boxes have so many ohms.
    pub fn is_usual(ohms: f64) -> bool {
        (Self::USUAL_OHMS.0..=Self::USUAL_OHMS.1).contains(&ohms)
    }

    /// The resistance.
    pub const fn resistance(self) -> Resistance {
        self.0
    }
}

impl FromStr for NominalInput {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let failed = |problem| UnitError {
            read: text.trim().to_owned(),
            quantity: "the nominal input of a passive box",
            problem,
            accepted: "10k to 500k, such as transformer 140k",
        };
        let value: Resistance = text.parse().map_err(|error: UnitError| failed(error.problem))?;
        if Self::is_usual(value.ohms()) {
            Ok(Self(value))
        } else {
            Err(failed(Problem::OutOfRange { low: "10 kΩ", high: "500 kΩ" }))
        }
    }
}

impl fmt::Display for NominalInput {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
