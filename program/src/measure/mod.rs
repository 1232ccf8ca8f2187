//! `firstjack measure`: finds out what a pickup or an input is. What recordings say is found by the crate `firstjack-measure`; here they are read,
//! and what was found is told, drawn and kept.

mod finding;
#[cfg(any(feature = "sound", test))]
#[cfg_attr(not(feature = "sound"), expect(dead_code, reason = "without sound only its parts are tested"))]
mod guided;
mod lead;
mod marks;
mod meter;
mod notation;
mod picture;
mod recordings;
mod report;
mod save;
mod sweep;
mod swept;
mod toggled;

use crate::arguments::MeasureArguments;
use crate::arguments::measure::MeasureCommand;
use crate::error::Failure;

/// Runs the command.
pub fn run(arguments: &MeasureArguments) -> Result<(), Failure> {
    match &arguments.command {
        MeasureCommand::Lead(arguments) => lead::run(arguments),
        MeasureCommand::Sweep(arguments) => sweep::run(arguments),
        MeasureCommand::Pickup(arguments) => swept::pickup(arguments),
        MeasureCommand::Box(arguments) => swept::input_box(arguments),
        MeasureCommand::Coil(arguments) => swept::coil(arguments),
        MeasureCommand::Toggle(arguments) => toggled::toggle(arguments),
        MeasureCommand::Rub(arguments) => toggled::rub(arguments),
        MeasureCommand::Meter(arguments) => meter::run(arguments),
        #[cfg(feature = "sound")]
        MeasureCommand::Guided(arguments) => guided::run(arguments),
        #[cfg(not(feature = "sound"))]
        MeasureCommand::Guided(_) => Err(Failure::Unbuilt { command: "measure guided", feature: "sound" }),
    }
}
