//! What is said to the person.

use firstjack_words::Words;

use super::dialogue::{MOST_DB, Question, START_DB};
use super::heard::Heard;
use super::steps::Step;

/// What must be so before anything sounds, beside what the question says itself; as the page of the measuring lead has it.
const CAUTIONS: [&str; 4] = ["lead.phantom", "caution.mute", "lead.mains", "caution.earth"];

/// A question as it is printed, with what may be answered.
pub fn question(question: Question, part: &str) -> String {
    match question {
        Question::Cautions => {
            let cautions = CAUTIONS.map(|id| format!("  - {}\n", Words::ENGLISH.get(id))).concat();
            format!(
                "Before anything sounds:\n  - Monitors down, headphones off the ears.\n{cautions}The sweep begins at {START_DB:.0} dBFS. \
                 It rises only when you say yes, to at most {MOST_DB:.0} dBFS.\nIs all of that so? [Enter: yes, q: leave] "
            )
        }
        Question::Plug { step, kept } => {
            let keep = if kept { ", k: keep this recording" } else { "" };
            let plug = plug(step, part);
            format!(
                "\n{plug}\nMute while you plug. [Enter: start the sweep{keep}, b: begin again, q: leave] "
            )
        }
        Question::Raise { by_db, to_db, begins_again } => {
            let again = if begins_again { " All steps are then recorded anew." } else { "" };
            format!("Raise the level by {by_db:.0} dB, to {to_db:.0} dBFS?{again} [y/N] ")
        }
    }
}

/// What is to be plugged where: the page's own words where it has a step for it.
fn plug(step: Step, part: &str) -> String {
    let words = Words::ENGLISH;
    let page = |title, text| format!("{}: {}", words.get(title), words.get(text));
    let plugged = page("lead.plugged_title", "lead.plugged");
    match step {
        Step::Reference => page("lead.reference_title", "lead.reference"),
        Step::Empty => format!("{} In the lead is {part}.", page("lead.empty_title", "lead.empty")),
        Step::Pickup => plugged,
        Step::Coil => format!("{plugged} Its tone control is turned up, too."),
        Step::BoxDirect => "1  Straight: the interface's output into the box, and the box's output into the interface's input. \
                            Now set the gain."
            .to_owned(),
        Step::Boxed => format!(
            "2  Through {part}: it goes between the interface's output and the box. Nothing else is touched."
        ),
    }
}

/// What was heard where nothing is wrong with it.
pub fn good(step: Step, heard: &Heard) -> String {
    let Heard { peak_db, noise_db, latency_seconds, .. } = heard;
    let noise =
        if noise_db.is_finite() { format!("noise {noise_db:.0} dBFS") } else { "no noise".to_owned() };
    let (name, latency_ms) = (step.name(), 1000.0 * latency_seconds);
    format!("Recorded as {name}: peak {peak_db:.1} dBFS, {noise}, latency {latency_ms:.1} ms.\n")
}
