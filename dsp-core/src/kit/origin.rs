use std::fmt;
use std::str::FromStr;

use toml::value::Datetime;

use crate::units::{Problem, UnitError};

/// Where an entry's values come from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Origin {
    /// The day on which they were measured.
    pub measured: Option<Date>,
    /// How they were found.
    pub method: Option<Method>,
    /// Whatever else there is to say.
    pub remarks: Option<String>,
}

/// A day of the calendar, as ISO 8601 writes it: `2026-11-27`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(String);

impl FromStr for Date {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        let is_day = |read: &Datetime| read.date.is_some() && read.time.is_none() && read.offset.is_none();
        let day = text.trim().parse::<Datetime>().ok().filter(is_day);
        day.map(|day| Self(day.to_string())).ok_or_else(|| UnitError {
            read: text.to_owned(),
            quantity: "a day",
            problem: Problem::NotADay,
            accepted: "year, month and day, such as 2026-11-27",
        })
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// How values were found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// By a swept sine through a known resistor or capacitor.
    Sweep,
    /// By switching a known load in and out during held notes.
    Toggle,
    /// By rubbing or tapping, with one load and then with another.
    Rub,
    /// By a capacitance meter.
    Meter,
    /// Not measured: as a maker's sheet or the box itself says.
    Printed,
}

impl Method {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Sweep, Self::Toggle, Self::Rub, Self::Meter, Self::Printed];

    /// As a file says it.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Sweep => "sweep",
            Self::Toggle => "toggle",
            Self::Rub => "rub",
            Self::Meter => "meter",
            Self::Printed => "printed",
        }
    }
}
