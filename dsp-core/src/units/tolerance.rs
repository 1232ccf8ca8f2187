use std::fmt;

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

/// How far a value may lie to either side of what is said, none or 0.001 to 90 per cent of it. Reads `±6 %`, `+-6%`, `+/- 6 %`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Tolerance {
    percent: f64,
}

impl Tolerance {
    /// The value is exactly what is said.
    pub const NONE: Self = Self { percent: 0.0 };

    /// Whether the value is exactly what is said.
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }

    /// The larger of two.
    #[must_use]
    pub fn or_larger(self, other: Self) -> Self {
        if other > self { other } else { self }
    }

    /// A factor for the value: at -1 for its lower end, at 0 for what is said, at 1 for its upper end.
    pub(crate) fn factor(self, place: f64) -> f64 {
        1.0 + place * self.percent / 100.0
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
            .map(|percent| Self { percent })
            .ok_or_else(|| Problem::NotATolerance(text.trim().to_owned()))
    }

    /// What a letter of IEC 60062 stands for; `None` if it stands for none.
    pub(super) fn of_letter(letter: char) -> Option<Result<Self, Problem>> {
        if UNEQUAL_LETTERS.contains(&letter) {
            return Some(Err(Problem::UnequalTolerance(letter)));
        }
        let known = LETTERS.iter().find(|(known, _)| *known == letter);
        known.map(|(_, percent)| Ok(Self { percent: *percent }))
    }
}

/// As it stands behind a value: " ±6 %", nothing if there is none.
impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_none() { Ok(()) } else { write!(f, " ±{} %", self.percent) }
    }
}

/// A value of a circuit, moved about within its tolerance.
pub(crate) trait Toleranced {
    fn tolerance(&self) -> Tolerance;

    /// Moves it to a place within its tolerance, -1 to 1, and takes the tolerance away.
    fn settle(&mut self, place: f64);
}
