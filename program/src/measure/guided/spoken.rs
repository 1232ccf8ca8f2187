//! What is said to the person.

use super::dialogue::{MOST_DB, Question, START_DB};
use super::heard::Heard;
use super::steps::Step;

/// A question as it is printed, with what may be answered.
pub fn question(question: Question, part: &str) -> String {
    match question {
        Question::Cautions => format!(
            "Before anything sounds: monitors down, headphones off the ears, phantom power off, the input muted in the monitors. \
             Nothing to the mains.\nThe sweep begins at {START_DB:.0} dBFS. It rises only when you say yes, to at most {MOST_DB:.0} dBFS.\n\
             Is all of that so? [Enter: yes, q: leave] "
        ),
        Question::Plug { step, kept } => {
            let keep = if kept { ", k: keep this recording" } else { "" };
            format!("\n{}\n[Enter: start the sweep{keep}, b: begin again, q: leave] ", plug(step, part))
        }
        Question::Raise { by_db, to_db, begins_again } => {
            let again = if begins_again { " All steps are then recorded anew." } else { "" };
            format!("Raise the level by {by_db:.0} dB, to {to_db:.0} dBFS?{again} [y/N] ")
        }
    }
}

/// What is to be plugged where.
fn plug(step: Step, part: &str) -> String {
    match step {
        Step::Reference => "Mute. Plug the interface's output straight into its input.".to_owned(),
        Step::Empty => format!(
            "Mute. Plug the measuring lead between output and input, with {part} in it, and the instrument's cable on it; the instrument stays unplugged."
        ),
        Step::Pickup => "Mute. Plug the instrument's cable into the instrument, strings damped; everything else stays as it is.".to_owned(),
        Step::Coil => "Mute. Plug the instrument's cable into the instrument, volume and tone up, strings damped; everything else stays as it is.".to_owned(),
        Step::BoxDirect => "Mute. Plug the interface's output straight into the box, and the box's output into the interface's input.".to_owned(),
        Step::Boxed => format!("Mute. Plug the measuring lead, with {part} in it, between the interface's output and the box; everything else stays as it is."),
    }
}

/// What was heard where nothing is wrong with it.
pub fn good(step: Step, heard: &Heard) -> String {
    format!(
        "Recorded as {}: peak {:.1} dBFS, noise {:.0} dBFS, latency {:.1} ms.\n",
        step.name(),
        heard.peak_db,
        heard.noise_db,
        1000.0 * heard.latency_seconds
    )
}
