//! What recordings of the test sound say: `firstjack measure pickup`, `box` and `coil`.

use firstjack_measure::Measured;
use firstjack_measure::sweep::{self, Known};

use super::finding::{Finding, Method, Subject};
use super::recordings::{MOST_SWEPT, Named, read};
use super::report::Report;
use crate::arguments::measure::{
    KnownArguments, MeasureBoxArguments, MeasureCoilArguments, MeasurePickupArguments, NodeArguments,
};
use crate::error::Failure;
use crate::source::value;

/// `firstjack measure pickup`.
pub fn pickup(arguments: &MeasurePickupArguments) -> Result<(), Failure> {
    let known = known(&arguments.known)?;
    let files = node(&arguments.node);
    let report = Report::new(&arguments.result, &files)?;
    let [reference, empty, plugged] = read(files, arguments.channel.channel, MOST_SWEPT)?;
    let measured = sweep::pickup(&reference, &empty, &plugged, &known);
    report.tell(&finding(Subject::Pickup, &known, measured))
}

/// `firstjack measure box`.
pub fn input_box(arguments: &MeasureBoxArguments) -> Result<(), Failure> {
    let known = known(&arguments.known)?;
    let files = [
        Named { path: &arguments.reference, is: "the reference recording" },
        Named { path: &arguments.boxed, is: "the recording through the known part" },
    ];
    let report = Report::new(&arguments.result, &files)?;
    let [reference, boxed] = read(files, arguments.channel.channel, MOST_SWEPT)?;
    let measured = sweep::input_box(&reference, &boxed, &known);
    report.tell(&finding(Subject::Box, &known, measured))
}

/// `firstjack measure coil`.
pub fn coil(arguments: &MeasureCoilArguments) -> Result<(), Failure> {
    let known = Known::Resistor(value("--resistor", &arguments.resistor)?);
    let files = node(&arguments.node);
    let report = Report::new(&arguments.result, &files)?;
    let [reference, empty, plugged] = read(files, arguments.channel.channel, MOST_SWEPT)?;
    let measured = sweep::coil(&reference, &empty, &plugged, &known);
    report.tell(&finding(Subject::Coil, &known, measured))
}

fn node(arguments: &NodeArguments) -> [Named<'_>; 3] {
    [
        Named { path: &arguments.reference, is: "the reference recording" },
        Named { path: &arguments.empty, is: "the empty recording" },
        Named { path: &arguments.plugged, is: "the plugged recording" },
    ]
}

fn known(arguments: &KnownArguments) -> Result<Known, Failure> {
    match (&arguments.resistor, &arguments.capacitor) {
        (Some(resistor), _) => Ok(Known::Resistor(value("--resistor", resistor)?)),
        (None, Some(capacitor)) => Ok(Known::Capacitor(value("--capacitor", capacitor)?)),
        (None, None) => Err(Failure::Usage("give --resistor or --capacitor".to_owned())),
    }
}

/// With what it rests on.
pub fn finding(subject: Subject, known: &Known, measured: Measured) -> Finding {
    let controls = "volume and tone turned up".to_owned();
    let of_coil = (subject == Subject::Coil).then_some(controls);
    let assumed = [series(known)].into_iter().chain(of_coil).collect();
    Finding::new(Method::Sweep, subject, assumed, measured)
}

/// The part that everything rests on.
fn series(known: &Known) -> String {
    let part = match known {
        Known::Resistor(resistor) => format!("a resistor of {resistor}"),
        Known::Capacitor(capacitor) => format!("a capacitor of {capacitor}"),
    };
    format!("{part} in series")
}
