use firstjack_measure::sweep::{self, Known};
use firstjack_measure::{Measured, Recording};

use super::dialogue::{Dialogue, Next};
use super::interface::{Interface, Take};
use super::keep::Keep;
use super::keyboard::Keyboard;
use super::listen::listen;
use super::spoken;
use super::steps::{BOX, COIL, PICKUP, Step};
use crate::arguments::{GuidedArguments, GuidedKind};
use crate::error::Failure;
use crate::measure::finding::Subject;
use crate::measure::report::Report;
use crate::measure::swept::finding;
use crate::source::value;
use crate::{interrupt, stdout};

/// The part in the lead unless another is given, of IEC 60063.
const RESISTOR: &str = "100k ±1%";
/// Of a box.
const CAPACITOR: &str = "1n ±5%";

/// Runs the command.
pub fn run(arguments: &GuidedArguments) -> Result<(), Failure> {
    let part = Part::new(arguments)?;
    let steps = steps_of(arguments.what);
    let subject = subject_of(arguments.what);
    let report = Report::new(&arguments.result, &[])?;
    let keep = arguments.keep.as_deref().map(|folder| Keep::new(folder, steps)).transpose()?;
    interrupt::watch();
    let interface = Interface::new(arguments)?;
    stdout::tell_aside(&format!("{}\n{}\n\n", interface.description(), part.sentence()))?;
    let recordings = lead(arguments, steps, &part, &interface)?;
    if let Some(keep) = keep {
        keep.write(arguments.rate, &recordings)?;
    }
    let measured = analyse(arguments.what, &recordings, &part.known);
    report.tell(&finding(subject, &part.known, measured))
}

/// The part in the lead.
struct Part {
    known: Known,
    /// As it is spoken of.
    text: String,
    /// Whether it was said.
    is_said: bool,
}

impl Part {
    fn new(arguments: &GuidedArguments) -> Result<Self, Failure> {
        let GuidedArguments { what, resistor, capacitor, .. } = arguments;
        let is_said = resistor.is_some() || capacitor.is_some();
        let usual = *what == GuidedKind::Box && !is_said;
        if let Some(typed) = capacitor.as_deref().or(usual.then_some(CAPACITOR)) {
            if *what == GuidedKind::Coil {
                return Err(Failure::Usage("--capacitor: a coil is measured through a resistor".to_owned()));
            }
            let known = value("--capacitor", typed)?;
            return Ok(Self {
                text: format!("the capacitor of {known}"),
                known: Known::Capacitor(known),
                is_said,
            });
        }
        let known = value("--resistor", resistor.as_deref().unwrap_or(RESISTOR))?;
        Ok(Self { text: format!("the resistor of {known}"), known: Known::Resistor(known), is_said })
    }

    /// What is taken for granted.
    fn sentence(&self) -> String {
        let unless =
            if self.is_said { "" } else { "; if it is another, leave and say --resistor or --capacitor" };
        format!("In the lead is {}{unless}.", self.text)
    }
}

fn steps_of(what: GuidedKind) -> &'static [Step] {
    match what {
        GuidedKind::Pickup => PICKUP,
        GuidedKind::Coil => COIL,
        GuidedKind::Box => BOX,
    }
}

fn subject_of(what: GuidedKind) -> Subject {
    match what {
        GuidedKind::Pickup => Subject::Pickup,
        GuidedKind::Coil => Subject::Coil,
        GuidedKind::Box => Subject::Box,
    }
}

/// Leads through the steps.
///
/// # Errors
/// If the person leaves, or the program is asked to end.
fn lead(
    arguments: &GuidedArguments,
    steps: &'static [Step],
    part: &Part,
    interface: &Interface,
) -> Result<Vec<Recording>, Failure> {
    let mut dialogue = Dialogue::new(steps, matches!(part.known, Known::Resistor(_)));
    let keyboard = Keyboard::new();
    loop {
        match dialogue.next() {
            Next::Ask(question) => {
                keyboard.forget();
                stdout::tell_aside(&spoken::question(question, &part.text))?;
                let answer = keyboard.answer()?;
                if !answer.is_some_and(|answer| dialogue.answer(answer)) {
                    stdout::tell_aside("That is none of the answers.\n")?;
                }
            }
            Next::Sound { step, level_db } => {
                let taken = interface.sweep(level_db, arguments.result.report.quiet)?;
                let heard = taken
                    .map(|Take { recording, dropouts }| (listen(&recording, level_db, dropouts), recording));
                let good = heard.as_ref().map(|(heard, _)| spoken::good(step, heard)).unwrap_or_default();
                let told = dialogue.hear(heard).map_or_else(|trouble| format!("{trouble}\n"), |()| good);
                stdout::tell_aside(&told)?;
            }
            Next::Done => return Ok(dialogue.recordings()),
            Next::Left => return Err(Failure::Interrupted { takes: 0 }),
        }
    }
}

/// # Panics
/// Never: the dialogue gives a recording for each step.
fn analyse(what: GuidedKind, recordings: &[Recording], known: &Known) -> Measured {
    match (what, recordings) {
        (GuidedKind::Pickup, [reference, empty, plugged]) => sweep::pickup(reference, empty, plugged, known),
        (GuidedKind::Coil, [reference, empty, plugged]) => sweep::coil(reference, empty, plugged, known),
        (GuidedKind::Box, [reference, boxed]) => sweep::input_box(reference, boxed, known),
        _ => unreachable!("a recording for each step"),
    }
}
