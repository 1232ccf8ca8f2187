use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

use super::{Problem, UnitError, with_point};

/// How far a control is turned, 0 to 100 %. Reads `70 %` or `70%`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Percent(f64);

impl Percent {
    /// Turned up fully.
    pub const FULL: Self = Self(100.0);

    /// Takes a number of percent.
    ///
    /// # Errors
    /// If it is outside 0 to 100.
    pub fn new(percent: f64) -> Result<Self, UnitError> {
        Self::checked(percent).map_err(|problem| Self::error(percent.to_string(), problem))
    }

    /// As a fraction, 0 to 1.
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }

    fn checked(percent: f64) -> Result<Self, Problem> {
        if (0.0..=100.0).contains(&percent) {
            // Adding zero takes the sign off a negative zero.
            Ok(Self(percent + 0.0))
        } else {
            Err(Problem::OutOfRange { low: "0 %", high: "100 %" })
        }
    }

    fn error(read: String, problem: Problem) -> UnitError {
        UnitError { read, quantity: "a position", problem, accepted: "0 % to 100 %, such as 70 %" }
    }
}

impl FromStr for Percent {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let number = text.trim().strip_suffix('%').ok_or(if text.trim().is_empty() {
            Problem::Empty
        } else {
            Problem::UnitMissing
        });
        number
            .and_then(|number| with_point(number.trim())?.parse().map_err(|_| Problem::NoNumber))
            .and_then(Self::checked)
            .map_err(|problem| Self::error(text.to_owned(), problem))
    }
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0)
    }
}

impl Serialize for Percent {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Percent {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}
