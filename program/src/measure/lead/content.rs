//! What the page says.

use firstjack_words::Words;

use super::sketch;
use crate::paper::Drawing;

/// The page's content, in the reader's language.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    pub(super) language: &'static str,
    pub(super) title: &'static str,
    pub(super) about: &'static str,
    pub(super) build_title: &'static str,
    /// What is built, in one line.
    pub(super) build: &'static str,
    pub(super) wiring: Drawing,
    pub(super) legend: &'static str,
    /// Terms and what is said of them.
    pub(super) items: Vec<(&'static str, &'static str)>,
    pub(super) steps_title: &'static str,
    pub(super) steps: Vec<Step>,
    pub(super) commands_title: &'static str,
    pub(super) commands: Vec<Command>,
    pub(super) cautions_title: &'static str,
    pub(super) cautions: Vec<&'static str>,
}

/// What is plugged where.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Step {
    pub title: &'static str,
    pub drawing: Drawing,
    pub text: &'static str,
}

/// What is typed, and what for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Command {
    pub purpose: &'static str,
    pub typed: &'static str,
}

impl Lead {
    pub fn new(words: &Words) -> Self {
        let item = |term, text| (words.get(term), words.get(text));
        let step = |title, drawing, text| Step { title: words.get(title), drawing, text: words.get(text) };
        let command = |purpose, typed| Command { purpose: words.get(purpose), typed };
        Self {
            language: words.language(),
            title: words.get("lead.title"),
            about: words.get("lead.about"),
            build_title: words.get("lead.build_title"),
            build: words.get("lead.build"),
            wiring: sketch::wiring(words),
            legend: words.get("lead.legend"),
            items: vec![
                item("lead.resistor_title", "lead.resistor"),
                item("lead.cables_title", "lead.cables"),
                item("lead.levels_title", "lead.levels"),
            ],
            steps_title: words.get("lead.steps_title"),
            steps: vec![
                step("lead.reference_title", sketch::reference(words), "lead.reference"),
                step("lead.empty_title", sketch::empty(words), "lead.empty"),
                step("lead.plugged_title", sketch::plugged(words), "lead.plugged"),
                step("lead.box_title", sketch::boxed(words), "lead.box"),
                step("lead.toggle_title", sketch::toggle(words), "lead.toggle"),
            ],
            commands_title: words.get("lead.commands_title"),
            commands: vec![
                command("lead.for_sound", "firstjack measure sweep -o sweep.wav --rate 48000"),
                command(
                    "lead.for_pickup",
                    "firstjack measure pickup --reference 1.wav --empty 2.wav --plugged 3.wav --resistor \"100k ±1%\"",
                ),
                command(
                    "lead.for_box",
                    "firstjack measure box --reference 4a.wav --box 4b.wav --capacitor \"1n ±5%\"",
                ),
                command(
                    "lead.for_toggle",
                    "firstjack measure toggle 5.wav --load-a 1M --added \"56k ±1%\" --marks marks.txt",
                ),
            ],
            cautions_title: words.get("note.cautions"),
            cautions: ["lead.quiet", "lead.phantom", "caution.mute", "lead.mains", "caution.earth"]
                .map(|id| words.get(id))
                .into(),
        }
    }
}
