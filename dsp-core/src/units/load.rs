use std::fmt;
use std::str::FromStr;

use super::notation::{split_number, split_range};
use super::{
    Capacitance, Inductance, Length, NominalInput, Problem, Resistance, Tolerance, UnitError, with_point,
};

const ACCEPTED: &str =
    "parts joined by ||, such as 470k || 1M || 6 m || 100p || 50 H || transformer 140k, or none";

/// What stands in front of a passive box's nominal input.
const TRANSFORMER: &str = "transformer";

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
    /// A passive box by its nominal input.
    Transformer(NominalInput),
}

/// Several parts in parallel, as in `470k || 1M || 6 m || 100p || transformer 140k`; `none` has no part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Load(Vec<LoadPart>);

impl Load {
    /// Reads what a person types now. `1m` is taken for a metre of cable where a file has it, and a megohm is as likely to be meant: here it is
    /// refused with that question, as `6m` and `2m2` are; `6 m`, `30cm` and `6 metres` are cable.
    ///
    /// # Errors
    /// As [`Load::from_str`], and with [`Problem::MetresOrMegohms`].
    pub fn typed(text: &str) -> Result<Self, UnitError> {
        let asked = parts_of(text).find_map(|part| Some(failed(part, text, metres_or_megohms(part)?)));
        asked.map_or_else(|| text.parse(), Err)
    }

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
        let read = |part| read_part(part).map_err(|problem| failed(part, text, problem));
        let parts = parts_of(text).map(read).collect::<Result<Vec<_>, _>>()?;
        let transformers = parts.iter().filter(|part| matches!(part, LoadPart::Transformer(_)));
        if transformers.count() > 1 {
            return Err(failed(text, text, Problem::SecondTransformer));
        }
        Ok(Self(parts))
    }
}

/// The texts between `||`.
pub(crate) fn parts_of(text: &str) -> impl Iterator<Item = &str> {
    text.split("||").flat_map(|part| part.split('∥'))
}

fn failed(part: &str, whole: &str, problem: Problem) -> UnitError {
    UnitError {
        read: if part.trim().is_empty() { whole.to_owned() } else { part.trim().to_owned() },
        quantity: "part of a load",
        problem,
        accepted: ACCEPTED,
    }
}

/// The question, where a part's unit is an `m` that may be a metre or a million: right behind the digits, or in the place of their point.
fn metres_or_megohms(part: &str) -> Option<Problem> {
    let value = Tolerance::split(part).map_or(part, |(value, _)| value);
    let (low, high) = split_range(value).unwrap_or((value, value));
    [low, high].into_iter().find_map(|value| {
        let (number, _, unit) = split_number(value.trim());
        let behind = unit.strip_prefix('m')?;
        let is_asked = matches!(behind, "" | "m") || behind.chars().all(|c| c.is_ascii_digit());
        let point = if matches!(behind, "" | "m") { "" } else { "." };
        let digits = format!("{number}{point}{}", behind.trim_start_matches('m'));
        (is_asked && !number.is_empty()).then_some(Problem::MetresOrMegohms(digits))
    })
}

/// Whether a part is a number alone, of which a forgotten letter would pass unseen beside `100p` and `6 m`, although a lone resistance would
/// take it. With a power of ten there is no letter to forget: 1e6 is in ohms.
fn is_bare(part: &str) -> bool {
    let value = Tolerance::split(part).map_or(part, |(value, _)| value).trim();
    let bare = split_range(value).map_or(value, |(_, high)| high.trim());
    let number = with_point(bare).ok().and_then(|bare| bare.parse::<f64>().ok());
    !bare.contains(['e', 'E']) && number.is_some_and(|value| value > 0.0 && value.is_finite())
}

fn read_part(part: &str) -> Result<LoadPart, Problem> {
    if is_bare(part) {
        return Err(Problem::UnitMissing);
    }
    let part = part.trim();
    if part.get(..TRANSFORMER.len()).is_some_and(|word| word.eq_ignore_ascii_case(TRANSFORMER)) {
        let nominal = part[TRANSFORMER.len()..].parse();
        return nominal.map(LoadPart::Transformer).map_err(|error: UnitError| error.problem);
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
    Err(problem.clone())
}

impl fmt::Display for LoadPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Resistance(value) => value.fmt(f),
            Self::Capacitance(value) => value.fmt(f),
            Self::Cable(value) => value.fmt(f),
            Self::Inductance(value) => value.fmt(f),
            Self::Transformer(nominal) => write!(f, "{TRANSFORMER} {nominal}"),
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
