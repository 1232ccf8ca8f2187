use thiserror::Error;

/// A quantity that could not be read: what was read, what is wrong with it, and what is accepted.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("cannot read '{read}' as {quantity}: {problem}; accepted are {accepted}")]
pub struct UnitError {
    /// The text (or number) as it was given.
    pub read: String,
    /// What it was read as, with its article: "a resistance".
    pub quantity: &'static str,
    /// What is wrong.
    pub problem: Problem,
    /// Examples of what would be accepted.
    pub accepted: &'static str,
}

/// What is wrong with a quantity.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Problem {
    /// Nothing was given, or nothing stands between two `||`.
    #[error("it is empty")]
    Empty,
    /// No number at the start.
    #[error("it does not start with a number")]
    NoNumber,
    /// The number has no unit and could mean several things.
    #[error("its unit is missing")]
    UnitMissing,
    /// Something follows the number that is not a unit of this quantity.
    #[error("'{0}' is not a unit here")]
    UnitUnknown(String),
    /// Zero or negative.
    #[error("it must be greater than zero")]
    NotPositive,
    /// Infinite, not a number, or outside what the model covers.
    #[error("it is outside {low} to {high}")]
    OutOfRange {
        /// Smallest accepted value, as text with its unit.
        low: &'static str,
        /// Largest accepted value, as text with its unit.
        high: &'static str,
    },
    /// What follows `±` is not a number of per cent, or too small or too large a one.
    #[error("'±{0}' is not a tolerance: accepted are ±0.001 % to ±90 %")]
    NotATolerance(String),
    /// A letter for a tolerance that is larger upwards than downwards.
    #[error("'{0}' stands for a tolerance that is larger upwards: give the middle, and ± per cent behind it")]
    UnequalTolerance(char),
    /// A tolerance letter behind a capacitance so small that the letter counts picofarads.
    #[error("below 10 pF the letter '{0}' stands for picofarads: give ± per cent")]
    LetterOfPicofarads(char),
    /// Two ends of which the first is not the smaller one, or that lie too far apart.
    #[error("in a range the smaller value stands first, and the larger one is at most 1000 times as large")]
    NotARange,
    /// Millions of ohms or metres of cable.
    #[error("{0} MΩ is written {0}M, and {0} m of cable with a space, {0} m: which is it?")]
    MetresOrMegohms(String),
    /// Of a tone control one of the two is missing.
    #[error("it is a resistance, a space and a capacitance")]
    PotOrCapacitor,
    /// A second passive box in one load.
    #[error("a load has one transformer at most")]
    SecondTransformer,
    /// A comma that may as well part thousands as stand for the decimal point, or more than one.
    #[error("'{0}' may mean two numbers: give a point, or no comma between thousands")]
    Comma(String),
    /// No day of the calendar.
    #[error("it is no day of the calendar")]
    NotADay,
    /// Not a pitch name.
    #[error("it is not a note name with an octave")]
    NotAPitch,
}
