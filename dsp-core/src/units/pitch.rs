use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};

use super::{Problem, UnitError};

/// An equal-tempered pitch in scientific notation: `A1`, `C#3`, `Bb2`.
#[derive(Debug, Clone, PartialEq)]
pub struct Pitch {
    name: String,
    semitones_from_a4: i16,
}

impl Pitch {
    /// The standard tuning frequency of A4 (ISO 16:1975).
    pub const CONCERT_HZ: f64 = 440.0;

    /// Its frequency in Hz when A4 is tuned to `a4_hz`: `a4 · 2^(n/12)`.
    pub fn hz(&self, a4_hz: f64) -> f64 {
        a4_hz * (f64::from(self.semitones_from_a4) / 12.0).exp2()
    }

    /// The name without its octave: `A`.
    pub fn letter(&self) -> &str {
        self.name.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-')
    }
}

impl FromStr for Pitch {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let error = || UnitError {
            read: text.to_owned(),
            quantity: "a pitch",
            problem: Problem::NotAPitch,
            accepted: "a letter A to G, an optional # or b, and an octave, such as A1, C#3, Bb2",
        };
        let name = text.trim();
        let mut rest = name.chars();
        let step: i16 = match rest.next() {
            Some('C') => -9,
            Some('D') => -7,
            Some('E') => -5,
            Some('F') => -4,
            Some('G') => -2,
            Some('A') => 0,
            Some('B') => 2,
            _ => return Err(error()),
        };
        let tail = rest.as_str();
        let (accidental, octave) = if let Some(octave) = tail.strip_prefix(['#', '♯']) {
            (1, octave)
        } else if let Some(octave) = tail.strip_prefix(['b', '♭']) {
            (-1, octave)
        } else {
            (0, tail)
        };
        // `+1` and `01` are numbers too, but not octaves.
        let is_octave = |number: &i16| (-1..=9).contains(number) && number.to_string() == octave;
        let octave: i16 = octave.parse().ok().filter(is_octave).ok_or_else(error)?;
        Ok(Self { name: name.to_owned(), semitones_from_a4: step + accidental + 12 * (octave - 4) })
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name)
    }
}

impl Serialize for Pitch {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.name)
    }
}

impl<'de> Deserialize<'de> for Pitch {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}
