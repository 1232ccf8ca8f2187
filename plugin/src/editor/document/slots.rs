//! The quantities inside of a document, each in its place, all alike to whoever types or turns them.

use std::str::FromStr;

use dsp_core::circuit::{Taper, ToneControl, VolumePot};
use dsp_core::units::{Capacitance, Inductance, Length, Percent, Ratio, Resistance, UnitError};

use super::edits::PickupPart;
use super::quantities::Part;

/// Steps in which a value doubles.
const STEPS_PER_OCTAVE: f64 = 12.0;

/// One quantity in its place, whichever it is.
pub(crate) trait Slot {
    /// As the trade writes it; `None` if it is absent.
    fn text(&self) -> Option<String>;

    /// As it was typed.
    fn set(&mut self, typed: &str) -> Result<(), String>;

    /// Some steps up or down.
    fn nudge(&mut self, steps: f64);
}

macro_rules! slot {
    ($name:ident, $getter:ident, $from:ident) => {
        impl Slot for $name {
            fn text(&self) -> Option<String> {
                Some(self.to_string())
            }

            fn set(&mut self, typed: &str) -> Result<(), String> {
                *self = typed.parse().map_err(words)?;
                Ok(())
            }

            fn nudge(&mut self, steps: f64) {
                let value = rounded(self.$getter() * (steps / STEPS_PER_OCTAVE).exp2());
                if let Ok(value) = Self::$from(value.clamp(Self::LOWEST, Self::HIGHEST)) {
                    *self = value.with_tolerance(self.tolerance());
                }
            }
        }
    };
}

slot!(Resistance, ohms, from_ohms);
slot!(Capacitance, farads, from_farads);
slot!(Inductance, henries, from_henries);
slot!(Length, metres, from_metres);
slot!(Ratio, value, from_value);

/// To three significant digits, in decimal, so that what is shown is short.
pub(crate) fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

impl<T: Slot + FromStr<Err = UnitError>> Slot for Option<T> {
    fn text(&self) -> Option<String> {
        self.as_ref().and_then(T::text)
    }

    fn set(&mut self, typed: &str) -> Result<(), String> {
        *self = if is_none(typed) { None } else { Some(typed.parse().map_err(words)?) };
        Ok(())
    }

    fn nudge(&mut self, steps: f64) {
        if let Some(value) = self {
            value.nudge(steps);
        }
    }
}

/// Turned in percent of its way; a bare number is percent.
impl Slot for Option<Percent> {
    fn text(&self) -> Option<String> {
        self.map(|position| position.to_string())
    }

    fn set(&mut self, typed: &str) -> Result<(), String> {
        let bare = typed.trim().parse::<f64>().is_ok();
        let read = || if bare { format!("{typed} %").parse() } else { typed.parse() };
        *self = if is_none(typed) { None } else { Some(read().map_err(words)?) };
        Ok(())
    }

    fn nudge(&mut self, steps: f64) {
        if let Some(position) = self {
            let percent = ((position.fraction() * 100.0 + steps) * 10.0).round() / 10.0;
            *position = Percent::new(percent.clamp(0.0, 100.0)).unwrap_or(*position);
        }
    }
}

/// A control goes and comes as a whole, and is told by its resistance.
macro_rules! control {
    ($name:ident, $made:expr) => {
        impl Slot for Option<$name> {
            fn text(&self) -> Option<String> {
                self.as_ref().and_then(|control| control.resistance.text())
            }

            fn set(&mut self, typed: &str) -> Result<(), String> {
                match self {
                    _ if is_none(typed) => *self = None,
                    Some(control) => control.resistance.set(typed)?,
                    None => {
                        let made: fn(Resistance) -> Result<$name, UnitError> = $made;
                        *self = Some(typed.parse().and_then(made).map_err(words)?);
                    }
                }
                Ok(())
            }

            fn nudge(&mut self, steps: f64) {
                if let Some(control) = self {
                    control.resistance.nudge(steps);
                }
            }
        }
    };
}

const TAPER: Taper = Taper::Logarithmic;
const POSITION: Percent = Percent::FULL;

control!(VolumePot, |resistance| Ok(VolumePot { resistance, taper: TAPER, position: POSITION }));
control!(ToneControl, |resistance| {
    let capacitance = Part::Pickup(PickupPart::ToneCapacitance).quantity().usual.parse()?;
    Ok(ToneControl { resistance, capacitance, taper: TAPER, position: POSITION })
});

/// Whether what was typed means that a part is not there.
pub(crate) fn is_none(typed: &str) -> bool {
    typed.trim().is_empty() || typed.trim().eq_ignore_ascii_case("none")
}

fn words(error: UnitError) -> String {
    error.to_string()
}
