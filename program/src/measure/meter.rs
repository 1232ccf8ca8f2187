//! `firstjack measure meter`.

use firstjack_measure::meter::{self, Meter};

use super::finding::{Finding, Method, Subject};
use super::report::Report;
use super::toggled::{cable, of_cable};
use crate::arguments::measure::MeterArguments;
use crate::error::Failure;
use crate::source::value;

/// Runs the command.
pub fn run(arguments: &MeterArguments) -> Result<(), Failure> {
    let reading = value("the reading", &arguments.reading)?;
    let cable = cable(&arguments.cable)?;
    let report = Report::new(&arguments.result, &[])?;
    let meter = Meter { at_hz: arguments.at, error_percent: arguments.error };
    let measured = meter::pickup(&reading, &meter, cable.as_ref());
    report.tell(&Finding::new(
        Method::Meter,
        Subject::Pickup,
        of_cable(cable.as_ref()).into_iter().collect(),
        measured,
    ))
}
