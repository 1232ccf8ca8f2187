use dsp_core::preset::Instrument;
use egui::{Button, Key, Popup, PopupCloseBehavior, RichText, ScrollArea, TextEdit, Ui};
use firstjack_looks::space;

use crate::editor::{Edit, Message, Model, Stage};

const OWN_TUNING: &str = "own tuning";
const HINT: &str = "A1 D2 G2";
const HELP: &str =
    "The open strings in scientific pitch notation (A4 is 440 Hz). Press Enter to look at them.";
const WIDTH: f32 = 220.0;

/// Whose strings are spoken of.
#[derive(Debug, Default)]
pub(super) struct InstrumentMenu {
    typed: String,
}

impl InstrumentMenu {
    /// Draws its name, and the menu while it is open.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, width: f32, out: &mut Vec<Message>) {
        let name = &model.instrument.name;
        let mut text = RichText::new(format!("{name} ▾"));
        if model.instrument.strings.is_empty() {
            text = text.weak();
        }
        let least = ui.spacing().interact_size;
        let button = ui.scope(|ui| {
            ui.set_max_width(width);
            ui.add(Button::new(text).truncate().min_size(least))
        });
        let strings: Vec<String> = model.instrument.strings.iter().map(ToString::to_string).collect();
        let button = button.inner.on_hover_text(format!("{name}: {}", strings.join(" ")));
        let button = button.accessible_name(format!("instrument {name}"));
        let popup = Popup::menu(&button).close_behavior(PopupCloseBehavior::CloseOnClickOutside);
        popup.show(|ui| self.menu(ui, model, out));
    }

    fn menu(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        ui.set_width(WIDTH);
        let label = ui.label(RichText::new(OWN_TUNING).small().weak());
        let field = TextEdit::singleline(&mut self.typed).hint_text(HINT).desired_width(f32::INFINITY);
        let field = ui.add(field).on_hover_text(HELP).labelled_by(label.id);
        if field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
            out.push(Message::Tuning(self.typed.clone()));
            ui.close();
        }
        let most = ui.ctx().content_rect().height() - space::steps(32.0);
        ScrollArea::vertical().max_height(most).show(ui, |ui| {
            for one in Instrument::all() {
                let is_chosen = one.id == model.instrument.id;
                if ui.selectable_label(is_chosen, &one.name).clicked() {
                    if !is_chosen {
                        out.push(Message::Edit(Edit::Instrument(one.id), Stage::Whole));
                    }
                    ui.close();
                }
            }
        });
    }
}
