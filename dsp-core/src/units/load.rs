use std::fmt;
use std::str::FromStr;

use super::{Capacitance, Inductance, Length, Problem, Resistance, Tolerance, UnitError, with_point};

const ACCEPTED: &str = "parts joined by ||, such as 470k || 1M || 6 m || 100p || 50 H, or none";

/// One part of a load expression.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum LoadPart {
    /// An input's, or any other, resistance.
    Resistance(Resistance),
    /// A shunt capacitance.
    Capacitance(Capacitance),
    /// A length of cable.
    Cable(Length),
    /// An inductance: a transformer's primary without its winding's resistance.
    Inductance(Inductance),
}

/// Several parts in parallel, as in `470k || 1M || 6 m || 100p`; `none` has no part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Load(Vec<LoadPart>);

impl Load {
    /// The parts in the order in which they were written.
    pub(crate) fn parts(&self) -> &[LoadPart] {
        &self.0
    }

    /// Whether it has no part.
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromStr for Load {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        if text.trim().eq_ignore_ascii_case("none") {
            return Ok(Self::default());
        }
        text.replace('∥', "||")
            .split("||")
            .map(|part| read_part(part, text))
            .collect::<Result<_, _>>()
            .map(Self)
    }
}

fn read_part(part: &str, whole: &str) -> Result<LoadPart, UnitError> {
    let failed = |problem| UnitError {
        read: if part.trim().is_empty() { whole.to_owned() } else { part.trim().to_owned() },
        quantity: "part of a load",
        problem,
        accepted: ACCEPTED,
    };
    // A bare number is refused although a lone resistance would take it: beside `100p` and `6 m`, a
    // forgotten letter would pass unseen.
    let bare = Tolerance::split(part).map_or(part, |(value, _)| value).trim();
    let number = with_point(bare).ok().and_then(|bare| bare.parse::<f64>().ok());
    // With a power of ten there is no letter to forget: 1e6 is in ohms.
    let in_full = bare.contains(['e', 'E']);
    if !in_full && number.is_some_and(|value| value > 0.0 && value.is_finite()) {
        return Err(failed(Problem::UnitMissing));
    }
    let resistance = match part.parse() {
        Ok(value) => return Ok(LoadPart::Resistance(value)),
        Err(error) => error,
    };
    let capacitance = match part.parse() {
        Ok(value) => return Ok(LoadPart::Capacitance(value)),
        Err(error) => error,
    };
    let length = match part.parse() {
        Ok(value) => return Ok(LoadPart::Cable(value)),
        Err(error) => error,
    };
    let inductance = match part.parse() {
        Ok(value) => return Ok(LoadPart::Inductance(value)),
        Err(error) => error,
    };
    // Whoever recognised the unit knows best what is wrong with the value.
    let errors: [UnitError; 4] = [resistance, capacitance, length, inductance];
    let problem = errors
        .iter()
        .map(|error| &error.problem)
        .find(|problem| !matches!(problem, Problem::UnitUnknown(_) | Problem::UnitMissing))
        .unwrap_or(&errors[0].problem);
    Err(failed(problem.clone()))
}

impl fmt::Display for LoadPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Resistance(value) => value.fmt(f),
            Self::Capacitance(value) => value.fmt(f),
            Self::Cable(value) => value.fmt(f),
            Self::Inductance(value) => value.fmt(f),
        }
    }
}

impl fmt::Display for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some((first, rest)) = self.0.split_first() else {
            return f.write_str("none");
        };
        first.fmt(f)?;
        rest.iter().try_for_each(|part| {
            f.write_str(" || ")?;
            part.fmt(f)
        })
    }
}
