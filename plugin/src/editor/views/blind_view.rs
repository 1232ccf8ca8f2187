use std::borrow::Cow;

use egui::{RichText, Role, Ui, WidgetInfo};
use firstjack_looks::{space, text};
use firstjack_words::visible;

use crate::editor::views::look;
use crate::editor::{Blind, BlindMessage, Conclusion, Message, Model, Readings, Score, Sound};

/// What other views say in place of what could tell the setups apart.
pub(crate) const HIDDEN: &str = "hidden while you listen blind";

const ABOUT: &str = "Names, curves and figures are hidden until you ask for them.";
const SHUFFLE: &str = "Shuffle the setups";
const COMPARE: &str = "Same or different?";
const COMPARE_ABOUT: &str = "Two setups and X, which is one of them: say which, again and again.";
const FIRST: &str = "First setup";
const SECOND: &str = "Second setup";
const ANSWERS: &str = "Answers";
const TWO_DIFFERENT: &str = "Choose two different setups.";
const TOO_FEW_SETUPS: &str = "There must be two setups to compare: add one to the list first.";
const NOT_MATCHED: &str = "Level match is off: the louder one will win.";
const BYPASSED: &str = "Bypass is on: choose a sound to hear it.";

const HEAR: &str = "Hear";
const X: &str = "X";
const TAKE: &str = "as recorded";
const NOTHING: &str = "You hear something else.";
const QUESTION: &str = "Which one is X?";
const REVEAL: &str = "Show the names";
const REVEAL_RUN: &str = "Show names and score";
const END: &str = "End";
const ALL_GIVEN: &str = "All answers are given.";
const STOPPED: &str = "Stopped early: the chance holds only if that was not because of the score.";

/// How many answers a run may have: agreed on before, since who stops when the score is good has proved nothing.
const LENGTHS: [u32; 4] = [10, 16, 24, 40];
const USUAL_LENGTH: u32 = 16;

/// The blind switch.
#[derive(Debug, Clone)]
pub struct BlindView {
    chosen: [usize; 2],
    answers: u32,
}

impl Default for BlindView {
    fn default() -> Self {
        Self { chosen: [0, 1], answers: USUAL_LENGTH }
    }
}

impl BlindView {
    /// Draws it.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, _readings: &Readings, out: &mut Vec<Message>) {
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = space::TIGHT;
            match &model.blind {
                None => self.open(ui, model, out),
                Some(blind) => comparing(ui, model, blind, out),
            }
        });
    }

    /// Before a comparison.
    fn open(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        let setups = &model.document.preset.setups;
        ui.label(strong(ui, ABOUT));
        if setups.len() < 2 {
            ui.label(TOO_FEW_SETUPS);
            return;
        }
        if !model.document.level_match {
            warn(ui, NOT_MATCHED);
        }
        if ui.button(SHUFFLE).clicked() {
            out.push(Message::Blind(BlindMessage::Shuffle(fastrand::u64(..))));
        }
        ui.add_space(space::INSIDE);
        ui.label(COMPARE_ABOUT);
        let names: Vec<Cow<str>> = setups.iter().map(|setup| visible(&setup.name)).collect();
        let names: Vec<&str> = names.iter().map(Cow::as_ref).collect();
        ui.horizontal_wrapped(|ui| {
            for (chosen, label) in self.chosen.iter_mut().zip([FIRST, SECOND]) {
                *chosen = (*chosen).min(names.len() - 1);
                choice(ui, label, chosen, &names);
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.label(ANSWERS);
            for length in LENGTHS {
                let response = ui.selectable_label(self.answers == length, length.to_string());
                let chosen = self.answers == length;
                response.widget_info(|| {
                    WidgetInfo::selected(Role::RadioButton, true, chosen, format!("{length} answers"))
                });
                if response.clicked() {
                    self.answers = length;
                }
            }
        });
        let differ = self.chosen[0] != self.chosen[1];
        if ui.add_enabled(differ, egui::Button::new(COMPARE)).clicked() {
            let (setups, answers, seed) = (self.chosen, self.answers, fastrand::u64(..));
            out.push(Message::Blind(BlindMessage::Compare { setups, answers, seed }));
        }
        if !differ {
            ui.label(TWO_DIFFERENT);
        }
    }
}

fn choice(ui: &mut Ui, label: &str, chosen: &mut usize, names: &[&str]) {
    let shown = names.get(*chosen).copied().unwrap_or_default();
    let combo = egui::ComboBox::from_id_salt(label).selected_text(shown).truncate();
    let response = combo.show_index(ui, chosen, names.len(), |index| names[index]);
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::ComboBox, true, label);
        info.current_text_value = Some(shown.to_owned());
        info
    });
}

fn comparing(ui: &mut Ui, model: &Model, blind: &Blind, out: &mut Vec<Message>) {
    if model.document.bypass {
        warn(ui, BYPASSED);
    }
    if !model.document.level_match {
        warn(ui, NOT_MATCHED);
    }
    sounds(ui, model, blind, out);
    if let Some((answered, of)) = blind.progress().filter(|_| !blind.is_revealed()) {
        question(ui, blind, answered, of, out);
    }
    if let Some(score) = blind.score() {
        told(ui, score);
    }
    ui.horizontal_wrapped(|ui| {
        let reveal = if blind.is_run() { REVEAL_RUN } else { REVEAL };
        if !blind.is_revealed() && ui.button(reveal).clicked() {
            out.push(Message::Blind(BlindMessage::Reveal));
        }
        if ui.button(END).clicked() {
            out.push(Message::Blind(BlindMessage::End));
        }
    });
}

/// What can be heard, and what is.
fn sounds(ui: &mut Ui, model: &Model, blind: &Blind, out: &mut Vec<Message>) {
    let labels = (0..blind.labels()).map(Sound::Label);
    let last = if blind.is_run() { Sound::X } else { Sound::Take };
    ui.horizontal_wrapped(|ui| {
        ui.label(HEAR);
        for sound in labels.chain([last]) {
            let (heard, text) = (blind.sound() == Some(sound), name(model, blind, sound));
            let response = ui.add(egui::Button::selectable(heard, RichText::new(&text)));
            response.widget_info(|| {
                WidgetInfo::selected(Role::RadioButton, true, heard, format!("{HEAR} {text}"))
            });
            if response.clicked() {
                out.push(Message::Blind(BlindMessage::Hear(sound)));
            }
        }
    });
    let heard = blind.sound().map(|sound| format!("You hear {}.", name(model, blind, sound)));
    ui.label(answer(ui, heard.as_deref().unwrap_or(NOTHING)));
}

/// The label, and once it may be known the setup's name.
fn name(model: &Model, blind: &Blind, sound: Sound) -> String {
    match sound {
        Sound::X => X.to_owned(),
        Sound::Take => TAKE.to_owned(),
        Sound::Label(label) => {
            let setup = blind.name_of(label).and_then(|setup| model.document.preset.setups.get(setup));
            let number = label + 1;
            setup.map_or_else(|| number.to_string(), |setup| format!("{number}: {}", visible(&setup.name)))
        }
    }
}

fn question(ui: &mut Ui, blind: &Blind, answered: u32, of: u32, out: &mut Vec<Message>) {
    ui.add_space(space::NEAR);
    if !blind.is_asking() {
        ui.label(strong(ui, ALL_GIVEN));
        return;
    }
    ui.label(strong(ui, &format!("{QUESTION} Answer {} of {of}", answered + 1)));
    ui.horizontal_wrapped(|ui| {
        for label in 0..blind.labels() {
            if ui.button(format!("X is {}", label + 1)).clicked() {
                out.push(Message::Blind(BlindMessage::Answer(label)));
            }
        }
    });
}

/// The score and what it means.
fn told(ui: &mut Ui, score: Score) {
    ui.add_space(space::NEAR);
    ui.label(answer(ui, &format!("{} of {} right", score.right, score.answered)));
    let chance = percent(score.p_value());
    let text = match score.conclusion() {
        Conclusion::TooFew => "Too few answers to conclude anything.".to_owned(),
        Conclusion::Heard => {
            format!("Guessing gets there in {chance} of all runs: the difference was most likely heard.")
        }
        Conclusion::NotShown => format!(
            "Guessing gets there in {chance} of all runs: this does not show that the difference was heard. Nor does it show that there is none."
        ),
    };
    ui.label(text);
    ui.label(format!("p = {}, exact, binomial, one-sided", significant(score.p_value())));
    if score.answered < score.of {
        ui.label(format!("{STOPPED} Agreed on were {}.", score.of));
    }
}

/// What is read from a distance.
fn answer(ui: &Ui, words: &str) -> RichText {
    RichText::new(words).font(look::font(ui, text::ANSWER, true))
}

fn strong(ui: &Ui, words: &str) -> RichText {
    RichText::new(words).font(look::font(ui, text::BODY, true))
}

fn warn(ui: &mut Ui, text: &str) {
    let colour = ui.visuals().warn_fg_color;
    ui.colored_label(colour, text);
}

/// "3.8 %".
fn percent(p: f64) -> String {
    if p < 0.0005 { "less than 0.1 %".to_owned() } else { format!("{:.1} %", 100.0 * p) }
}

/// With three digits that count.
fn significant(p: f64) -> String {
    if p < 1e-4 { format!("{p:.2e}") } else { format!("{p:.4}") }
}
