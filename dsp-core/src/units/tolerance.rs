use std::fmt;

use super::notation::nine_digits;
use super::{Problem, with_point};

/// The smallest and the largest tolerance, in per cent.
const LEAST: f64 = 1e-3;
const MOST: f64 = 90.0;

/// Signs in front of a tolerance.
const SIGNS: [&str; 3] = ["±", "+/-", "+-"];

/// The letters of IEC 60062:2016 for equal tolerances, in per cent (from memory).
const LETTERS: [(char, f64); 14] = [
    ('E', 0.005),
    ('L', 0.01),
    ('P', 0.02),
    ('W', 0.05),
    ('B', 0.1),
    ('C', 0.25),
    ('D', 0.5),
    ('F', 1.0),
    ('G', 2.0),
    ('H', 3.0),
    ('J', 5.0),
    ('K', 10.0),
    ('M', 20.0),
    ('N', 30.0),
];

/// The letters of the same standard for tolerances that are larger upwards than downwards (from memory).
const UNEQUAL_LETTERS: [char; 4] = ['Q', 'S', 'T', 'Z'];

/// The most that the upper end of a range may be, in multiples of the lower one: more than any kind of pickup or box is apart.
const WIDEST: f64 = 1e3;

/// How far a value may lie from what is said: to either side by 0.001 to 90 per cent of it, which reads `±6 %`, `+-6%`, `+/- 6 %`; or anywhere
/// between two ends, of which it is then the geometric mean.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Tolerance(Kind);

#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
enum Kind {
    #[default]
    Exact,
    Percent(f64),
    /// In SI units.
    Between(f64, f64),
}

impl Tolerance {
    /// The value is exactly what is said.
    pub const NONE: Self = Self(Kind::Exact);

    /// Whether the value is exactly what is said.
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }

    /// The larger of two.
    #[must_use]
    pub fn or_larger(self, other: Self) -> Self {
        if other.width() > self.width() { other } else { self }
    }

    /// How far either end lies from the value, as a part of it: half the logarithm of the upper end over the lower one. 0.01 of `±1 %`.
    pub fn part(self) -> f64 {
        0.5 * self.width().ln()
    }

    /// Where the value lies between two ends that were said, both, in SI units.
    pub(crate) const fn ends(self) -> Option<(f64, f64)> {
        match self.0 {
            Kind::Between(low, high) => Some((low, high)),
            Kind::Exact | Kind::Percent(_) => None,
        }
    }

    /// The upper end over the lower one.
    fn width(self) -> f64 {
        match self.0 {
            Kind::Exact => 1.0,
            Kind::Percent(percent) => (100.0 + percent) / (100.0 - percent),
            Kind::Between(low, high) => high / low,
        }
    }

    /// A value at a place within its tolerance: at -1 the lower end, at 0 what is said, at 1 the upper end.
    pub(super) fn place(self, value: f64, place: f64) -> f64 {
        match self.0 {
            Kind::Exact => value,
            Kind::Percent(percent) => value * (1.0 + place * percent / 100.0),
            Kind::Between(_, high) if place >= 1.0 => high,
            Kind::Between(low, _) if place <= -1.0 => low,
            Kind::Between(_, high) => value * (high / value).powf(place),
        }
    }

    /// For another value, in SI units: the same per cent, or ends as far away in proportion, if they lie between `lowest` and `highest`. With
    /// the value itself, since ends say their middle; a parameter has seven digits of it, and leaves it where it is.
    pub(super) fn around(self, value: f64, lowest: f64, highest: f64) -> (f64, Self) {
        let Kind::Between(low, high) = self.0 else { return (value, self) };
        let factor = value / middle(low, high);
        if (factor - 1.0).abs() < 1e-6 {
            return (middle(low, high), self);
        }
        let (low, high) = (nine_digits(low * factor), nine_digits(high * factor));
        if low < lowest || high > highest {
            return (value, Self::NONE);
        }
        (middle(low, high), Self(Kind::Between(low, high)))
    }

    /// Between two ends in SI units, and what lies in the middle of them.
    pub(super) fn between(low: f64, high: f64) -> Result<(f64, Self), Problem> {
        let is_range = low < high && high <= low * WIDEST;
        is_range.then(|| (middle(low, high), Self(Kind::Between(low, high)))).ok_or(Problem::NotARange)
    }

    /// Parts a value from the tolerance behind it, `680p ±30 %`.
    pub(super) fn split(text: &str) -> Option<(&str, &str)> {
        let first = |sign: &&str| text.find(*sign);
        let sign = SIGNS.iter().filter(|sign| first(sign).is_some()).min_by_key(|sign| first(sign))?;
        text.split_once(sign)
    }

    /// Reads what follows the sign.
    pub(super) fn read(text: &str) -> Result<Self, Problem> {
        let number =
            text.trim().strip_suffix('%').and_then(|number| with_point(number.trim()).ok()?.parse().ok());
        number
            .filter(|percent| (LEAST..=MOST).contains(percent))
            .map(|percent| Self(Kind::Percent(percent)))
            .ok_or_else(|| Problem::NotATolerance(text.trim().to_owned()))
    }

    /// What a letter of IEC 60062 stands for; `None` if it stands for none.
    pub(super) fn of_letter(letter: char) -> Option<Result<Self, Problem>> {
        if UNEQUAL_LETTERS.contains(&letter) {
            return Some(Err(Problem::UnequalTolerance(letter)));
        }
        let known = LETTERS.iter().find(|(known, _)| *known == letter);
        known.map(|(_, percent)| Ok(Self(Kind::Percent(*percent))))
    }
}

/// The geometric mean, which is as far from either end.
fn middle(low: f64, high: f64) -> f64 {
    (low * high).sqrt()
}

/// As it stands behind a value: " ±6 %"; nothing if there is none, nor of two ends, which stand in place of a value.
impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            Kind::Percent(percent) => write!(f, " ±{percent} %"),
            Kind::Exact | Kind::Between(..) => Ok(()),
        }
    }
}

/// A value of a circuit, moved about within its tolerance.
pub(crate) trait Toleranced {
    fn tolerance(&self) -> Tolerance;

    /// Moves it to a place within its tolerance, -1 to 1, and takes the tolerance away.
    fn settle(&mut self, place: f64);
}
