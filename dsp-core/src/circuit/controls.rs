//! The controls on an instrument as a person types them: `500k`, `500k log at 7`, `500k 22n at 30 %`.

use std::str::FromStr;

use super::{Taper, ToneControl, VolumePot};
use crate::units::{Capacitance, Percent, Problem, Resistance, UnitError, with_point};

/// The largest number on a knob.
const KNOB: f64 = 10.0;

/// Reads a resistance, then perhaps `linear` or `log` (linear unless said), then perhaps `at` and how far it is turned up, from 0 to 10 as knobs
/// have it or in per cent; fully unless said.
///
/// ```
/// let volume: dsp_core::circuit::VolumePot = "500k log at 7".parse()?;
/// assert_eq!(volume.position.fraction(), 0.7);
/// # Ok::<(), dsp_core::units::UnitError>(())
/// ```
impl FromStr for VolumePot {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        const WHAT: (&str, &str) = ("a volume control", "500k, 500k log at 7, 500k at 70 %, none");
        let Knob { values, taper, position } = Knob::read(text, WHAT)?;
        // 250 Ω would silence the instrument: a forgotten letter.
        if with_point(values).is_ok_and(|number| number.parse::<f64>().is_ok()) {
            return Err(failed(text, WHAT, Problem::UnitMissing));
        }
        let resistance = values.parse().map_err(|error: UnitError| failed(text, WHAT, error.problem))?;
        Ok(Self { resistance, taper, position })
    }
}

/// Reads what a volume pot does, with the capacitance behind the resistance.
impl FromStr for ToneControl {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        const WHAT: (&str, &str) = ("a tone control", "500k 22n, 500k 22n log at 7, 500k 22n at 70 %, none");
        let Knob { values, taper, position } = Knob::read(text, WHAT)?;
        let spaces = values.match_indices(' ').map(|(at, _)| values.split_at(at));
        let pair = |(resistance, capacitance): (&str, &str)| -> Option<(Resistance, Capacitance)> {
            Some((resistance.parse().ok()?, capacitance.parse().ok()?))
        };
        let read = spaces.take(MOST_SPACES).find_map(pair);
        let (resistance, capacitance) = read.ok_or_else(|| failed(text, WHAT, Problem::PotOrCapacitor))?;
        Ok(Self { resistance, capacitance, taper, position })
    }
}

/// As many spaces as two values with tolerances can have.
const MOST_SPACES: usize = 8;

struct Knob<'a> {
    values: &'a str,
    taper: Taper,
    position: Percent,
}

impl<'a> Knob<'a> {
    fn read(text: &'a str, what: (&'static str, &'static str)) -> Result<Self, UnitError> {
        let (pot, position) = match text.trim().rsplit_once(" at ") {
            Some((pot, position)) => {
                (pot.trim(), read_position(position).map_err(|problem| failed(text, what, problem))?)
            }
            None => (text.trim(), Percent::FULL),
        };
        let tapers =
            [("linear", Taper::Linear), ("logarithmic", Taper::Logarithmic), ("log", Taper::Logarithmic)];
        let said = tapers.iter().find_map(|(word, taper)| Some((pot.strip_suffix(word)?.trim_end(), *taper)));
        let (values, taper) = said.unwrap_or((pot, Taper::Linear));
        Ok(Self { values, taper, position })
    }
}

fn read_position(text: &str) -> Result<Percent, Problem> {
    if text.contains('%') {
        return text.parse().map_err(|error: UnitError| error.problem);
    }
    let number = with_point(text.trim())?.parse().map_err(|_| Problem::NoNumber)?;
    if !(0.0..=KNOB).contains(&number) {
        return Err(Problem::OutOfRange { low: "0", high: "10, or 0 % to 100 %" });
    }
    Percent::new(number * 100.0 / KNOB).map_err(|error| error.problem)
}

fn failed(read: &str, (quantity, accepted): (&'static str, &'static str), problem: Problem) -> UnitError {
    UnitError { read: read.to_owned(), quantity, problem, accepted }
}
