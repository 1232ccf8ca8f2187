use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

use super::{Problem, UnitError, with_point};

/// 0 dBu in volts rms, `sqrt(0.6)`: a milliwatt in 600 Ω (common practice, no source).
const VOLTS: f64 = 0.774_596_669_241_483_4;

/// The level that full scale is at an input or an output, -80 to +60 dBu: that of a sine whose peaks reach it (0 dBFS of AES17, from memory). Reads
/// `18 dBu` or, as it is measured with a sine and a voltmeter, `0.31 V at -20 dBFS`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct FullScale(f64);

impl FullScale {
    const LOWEST: f64 = -80.0;
    const HIGHEST: f64 = 60.0;

    /// In dBu.
    pub const fn dbu(self) -> f64 {
        self.0
    }

    /// The peak of a sine at full scale, in volts.
    pub fn peak_volts(self) -> f64 {
        std::f64::consts::SQRT_2 * VOLTS * 10f64.powf(self.0 / 20.0)
    }

    fn read(text: &str) -> Result<Self, Problem> {
        let text = text.trim();
        let dbu = match text.split_once(" at ") {
            Some((volts, level)) => {
                let (volts, unit) = number(volts)?;
                let volts = volts * factor(unit, &[("V", 1.0), ("mV", 1e-3), ("v", 1.0), ("mv", 1e-3)])?;
                let (level, unit) = number(level)?;
                factor(unit, &[("dBFS", 1.0), ("dbfs", 1.0)])?;
                if volts <= 0.0 {
                    return Err(Problem::NotPositive);
                }
                // No voltmeter is nearer than a hundredth.
                ((20.0 * (volts / VOLTS).log10() - level) * 100.0).round() / 100.0
            }
            None => {
                let (dbu, unit) = number(text)?;
                factor(unit, &[("dBu", 1.0), ("dbu", 1.0), ("", 1.0)])?;
                dbu
            }
        };
        let is_level = (Self::LOWEST..=Self::HIGHEST).contains(&dbu);
        // Adding zero takes the sign off a negative zero.
        is_level.then_some(Self(dbu + 0.0)).ok_or(Problem::OutOfRange { low: "-80 dBu", high: "+60 dBu" })
    }
}

/// A number, and what follows it.
fn number(text: &str) -> Result<(f64, &str), Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Problem::Empty);
    }
    let end = text.find(|c: char| c.is_alphabetic()).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number = number.trim().strip_prefix('+').unwrap_or(number.trim()).replace('−', "-");
    let value = with_point(&number)?.parse().map_err(|_| Problem::NoNumber)?;
    Ok((value, unit.trim()))
}

fn factor(unit: &str, known: &[(&str, f64)]) -> Result<f64, Problem> {
    if unit.is_empty() && known.iter().all(|(name, _)| !name.is_empty()) {
        return Err(Problem::UnitMissing);
    }
    let found = known.iter().find(|(name, _)| *name == unit);
    found.map(|(_, factor)| *factor).ok_or_else(|| Problem::UnitUnknown(unit.to_owned()))
}

impl FromStr for FullScale {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        Self::read(text).map_err(|problem| UnitError {
            read: text.to_owned(),
            quantity: "the level of full scale",
            problem,
            accepted: "-80 to +60 dBu, such as 18 dBu, or what was measured: 0.31 V at -20 dBFS",
        })
    }
}

impl fmt::Display for FullScale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} dBu", self.0)
    }
}

impl Serialize for FullScale {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for FullScale {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dbu(text: &str) -> f64 {
        text.parse::<FullScale>().unwrap().dbu()
    }

    /// +4 dBu is 1.228 V (handbooks of audio; from memory).
    #[test]
    fn a_level_is_typed_or_measured() {
        assert_eq!(dbu("18 dBu"), 18.0);
        assert_eq!(dbu("+4"), 4.0);
        assert_eq!(dbu("−10,5 dBu"), -10.5);
        assert!((dbu("1.228 V at 0 dBFS") - 4.0).abs() < 1e-2);
        assert!((dbu("122.8 mV at -20 dBFS") - 4.0).abs() < 1e-2);
        assert!((dbu("1.228V at -14.0dBFS") - 18.0).abs() < 1e-2);
        assert!(("0 dBu".parse::<FullScale>().unwrap().peak_volts() - 1.0954).abs() < 1e-3);
        for text in ["18.25 dBu", "-7 dBu"] {
            assert_eq!(text.parse::<FullScale>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn what_is_no_level_is_refused() {
        for text in [
            "",
            "loud",
            "18 dBV",
            "0.3 at -20 dBFS",
            "0.3 V at -20",
            "-1 V at 0 dBFS",
            "0 V at 0 dBFS",
            "70 dBu",
            "NaN",
            "inf dBu",
        ] {
            assert!(text.parse::<FullScale>().is_err(), "{text}");
        }
    }
}
