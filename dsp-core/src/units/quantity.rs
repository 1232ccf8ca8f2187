use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

use super::notation::{self, Unit};
use super::{Problem, Tolerance, Toleranced, UnitError};

/// Defines one positive quantity: a value in SI units that reads and writes as the trade does.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $getter:ident, $from:ident, $quantity:literal, $accepted:literal,
     $low:literal as $low_text:literal, $high:literal as $high_text:literal, $unit:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name {
            value: f64,
            tolerance: Tolerance,
        }

        impl $name {
            /// The smallest accepted value, in SI units.
            pub const LOWEST: f64 = $low;
            /// The largest accepted value, in SI units.
            pub const HIGHEST: f64 = $high;

            const UNIT: Unit = $unit;

            /// Takes a value in SI units.
            ///
            /// # Errors
            /// If it is not positive, not finite, or outside the range in the type's documentation.
            pub fn $from(value: f64) -> Result<Self, UnitError> {
                Self::checked(value).map_err(|problem| Self::error(value.to_string(), problem))
            }

            /// The value in SI units: the middle, where it has a tolerance.
            pub const fn $getter(self) -> f64 {
                self.value
            }

            /// How far it may lie to either side.
            pub const fn tolerance(self) -> Tolerance {
                self.tolerance
            }

            /// The least and the greatest that it may be within its tolerance, in SI units.
            pub fn ends(self) -> (f64, f64) {
                (self.tolerance.place(self.value, -1.0), self.tolerance.place(self.value, 1.0))
            }

            /// The same value with another tolerance, to nine digits where that has ends: they lie as far from it in proportion.
            #[must_use]
            pub fn with_tolerance(self, tolerance: Tolerance) -> Self {
                let (value, tolerance) = tolerance.around(self.value, Self::LOWEST, Self::HIGHEST);
                Self { value, tolerance }
            }

            fn checked(value: f64) -> Result<Self, Problem> {
                if value <= 0.0 {
                    return Err(Problem::NotPositive);
                }
                if !(Self::LOWEST..=Self::HIGHEST).contains(&value) {
                    return Err(Problem::OutOfRange { low: $low_text, high: $high_text });
                }
                Ok(Self { value, tolerance: Tolerance::NONE })
            }

            fn error(read: String, problem: Problem) -> UnitError {
                UnitError { read, quantity: $quantity, problem, accepted: $accepted }
            }
        }

        impl FromStr for $name {
            type Err = UnitError;

            fn from_str(text: &str) -> Result<Self, UnitError> {
                let read = || {
                    let (value, tolerance) = notation::read(text, &Self::UNIT)?;
                    if let Some((low, high)) = tolerance.ends() {
                        Self::checked(low).and(Self::checked(high))?;
                    }
                    Ok(Self { tolerance, ..Self::checked(value)? })
                };
                read().map_err(|problem| Self::error(text.to_owned(), problem))
            }
        }

        impl Toleranced for $name {
            fn tolerance(&self) -> Tolerance {
                self.tolerance
            }

            fn settle(&mut self, place: f64) {
                let value = self.tolerance.place(self.value, place);
                *self = Self { value: value.clamp(Self::LOWEST, Self::HIGHEST), tolerance: Tolerance::NONE };
            }
        }

        /// Writes the shortest text that reads back to the same bits, with the tolerance, or the two ends; a precision, as in `{:.4}`, is a
        /// number of significant digits of the value, or of each end.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let written = |value| notation::write(value, f.precision(), &Self::UNIT);
                match self.tolerance.ends() {
                    Some((low, high)) => write!(f, "{} to {}", written(low), written(high)),
                    None => write!(f, "{}{}", written(self.value), self.tolerance),
                }
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
            }
        }
    };
}

quantity!(
    /// A resistance, 0.01 Ω to 1 TΩ. Reads `470k`, `2M2`, `4.7 MΩ`, `4.7Meg`, `47R`, and a bare number as ohms.
    Resistance, ohms, from_ohms, "a resistance", "470k, 2M2, 4.7 MΩ, 4.7Meg, 47R",
    1e-2 as "0.01 Ω", 1e12 as "1 TΩ",
    Unit {
        prefixes: &[("k", 3), ("K", 3), ("Meg", 6), ("meg", 6), ("MEG", 6), ("M", 6), ("G", 9), ("T", 12)],
        names: &["R", "Ω", "Ω", "ohm", "ohms", "Ohm", "Ohms"],
        code_letters: &[('R', 0), ('k', 3), ('K', 3), ('M', 6), ('G', 9), ('T', 12)],
        bare: true,
        prefix_alone: true,
        letters_from: 0.0,
        written: &[(12, "TΩ"), (9, "GΩ"), (6, "MΩ"), (3, "kΩ"), (0, "Ω")],
    }
);

quantity!(
    /// A capacitance, 0.001 pF to 1 F. Reads `680p`, `680 pF`, `1n5`, `0.1 µF`. Not millifarads: beside `6 m` in a load
    /// they would pass for metres, and no pickup has them.
    Capacitance, farads, from_farads, "a capacitance", "680p, 680 pF, 1n5, 22 nF, 0.1 uF, 470p to 4.7n",
    1e-15 as "0.001 pF", 1.0 as "1 F",
    Unit {
        prefixes: &[
            ("p", -12), ("P", -12), ("n", -9), ("N", -9), ("u", -6), ("U", -6), ("µ", -6), ("μ", -6),
        ],
        names: &["F", "f"],
        code_letters: &[('p', -12), ('n', -9), ('u', -6), ('µ', -6), ('μ', -6)],
        bare: false,
        prefix_alone: true,
        letters_from: 10e-12,
        written: &[(-6, "µF"), (-9, "nF"), (-12, "pF")],
    }
);

quantity!(
    /// An inductance, 1 nH to 1 MH. Reads `50 H`, `2H2`, `470 mH`.
    Inductance, henries, from_henries, "an inductance", "50 H, 2.2 H, 2H2, 470 mH",
    1e-9 as "1 nH", 1e6 as "1 MH",
    Unit {
        prefixes: &[("k", 3), ("m", -3), ("u", -6), ("µ", -6), ("μ", -6)],
        names: &["H"],
        code_letters: &[('H', 0)],
        bare: false,
        prefix_alone: false,
        letters_from: 0.0,
        written: &[(0, "H"), (-3, "mH"), (-6, "µH")],
    }
);

quantity!(
    /// The turns ratio of a transformer, primary to secondary, 0.001 to 1000. Reads `12` or `0.5`.
    Ratio, value, from_value, "a turns ratio", "12, 0.5",
    1e-3 as "0.001", 1e3 as "1000",
    Unit {
        prefixes: &[],
        names: &[],
        code_letters: &[],
        bare: true,
        prefix_alone: false,
        letters_from: 0.0,
        written: &[(0, "")],
    }
);

quantity!(
    /// A cable length, 1 mm to 10 km. Reads `6 m`, `2.5m`, `30 cm`.
    Length, metres, from_metres, "a length", "6 m, 2.5 m, 30 cm",
    1e-3 as "1 mm", 1e4 as "10 km",
    Unit {
        prefixes: &[("m", -3), ("c", -2), ("k", 3)],
        names: &["m", "metre", "metres", "meter", "meters"],
        code_letters: &[],
        bare: false,
        prefix_alone: false,
        letters_from: 0.0,
        written: &[(0, "m")],
    }
);
