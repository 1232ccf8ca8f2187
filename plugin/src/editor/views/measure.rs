use egui::{Align2, Key, Label, RichText, Ui, Vec2, Window};
use firstjack_words::Words;

use crate::editor::{Message, Model};

const TITLE: &str = "Measure";
const JOB: &str = "What a pickup or an input is, found with an audio interface, one resistor and a lead that you build. Nothing is recorded in \
this window: the program does it, in three recordings of ten seconds. It leads you through them with";
const GUIDED: &str = "firstjack measure guided pickup --save \"our pickup\"";
const KEPT: &str = "What is saved under a name is in the menus of this window from then on, with its spread.";
const PAGE: &str = "The page below, with drawings: firstjack measure lead -o lead.pdf.";
/// What is built, and how, by the ids of the page.
const LEAD: [(&str, &str); 3] = [
    ("lead.resistor_title", "lead.resistor"),
    ("lead.cables_title", "lead.cables"),
    ("lead.levels_title", "lead.levels"),
];
const STEPS: [(&str, &str); 5] = [
    ("lead.reference_title", "lead.reference"),
    ("lead.empty_title", "lead.empty"),
    ("lead.plugged_title", "lead.plugged"),
    ("lead.box_title", "lead.box"),
    ("lead.toggle_title", "lead.toggle"),
];
const CAUTIONS: [&str; 5] = ["lead.quiet", "lead.phantom", "caution.mute", "lead.mains", "caution.earth"];

/// What to do to measure, over everything else: what the page of the measuring lead says.
pub(crate) fn show(ui: &Ui, model: &Model, out: &mut Vec<Message>) {
    if !model.measure {
        return;
    }
    let mut open = true;
    let area = ui.ctx().content_rect();
    Window::new(TITLE)
        .open(&mut open)
        .collapsible(false)
        .resizable(false)
        .default_width((area.width() - 80.0).min(640.0))
        .max_height(area.height() - 80.0)
        .vscroll(true)
        .anchor(Align2::CENTER_CENTER, Vec2::ZERO)
        .show(ui.ctx(), text);
    if !open || ui.input(|input| input.key_pressed(Key::Escape)) {
        out.push(Message::Measure(false));
    }
}

fn text(ui: &mut Ui) {
    let words = Words::ENGLISH;
    ui.label(JOB);
    ui.add(Label::new(RichText::new(GUIDED).monospace()).wrap());
    ui.label(KEPT);
    ui.label(PAGE);
    title(ui, words.get("note.cautions"));
    for caution in CAUTIONS {
        ui.label(format!("•  {}", words.get(caution)));
    }
    title(ui, words.get("lead.title"));
    ui.label(words.get("lead.wiring_text"));
    terms(ui, &words, &LEAD);
    title(ui, words.get("lead.steps_title"));
    terms(ui, &words, &STEPS);
}

fn title(ui: &mut Ui, text: &str) {
    ui.add_space(8.0);
    ui.label(RichText::new(text).strong());
}

fn terms(ui: &mut Ui, words: &Words, terms: &[(&str, &str)]) {
    for (term, text) in terms {
        ui.label(format!("{}: {}", words.get(term), words.get(text)));
    }
}
