use egui::{Align, Button, Layout, Rect, Response, Ui, UiBuilder, pos2};
use firstjack_kit::KitFile;
use firstjack_looks::space;

use super::instrument_menu::InstrumentMenu;
use super::preset_menu::PresetMenu;
use crate::editor::{Message, Model, Theme};

/// How far everything can be enlarged, in steps.
const ZOOMS: [f32; 6] = [0.8, 1.0, 1.25, 1.5, 2.0, 3.0];
const UNDO: &str = "Undo";
const REDO: &str = "Redo";
const NOTHING_TO_UNDO: &str = "There is no edit to take back.";
const NOTHING_TO_REDO: &str = "There is no edit to do again.";
/// Parts of the width that the preset's name and the instrument's may take.
const PRESET_PART: f32 = 0.3;
const INSTRUMENT_PART: f32 = 0.2;

/// The preset, the instrument, undo and redo, how it looks, and help.
#[derive(Debug, Default)]
pub(super) struct TopLine {
    preset: PresetMenu,
    instrument: InstrumentMenu,
    /// How wide what stands at the right was last.
    right: f32,
}

impl TopLine {
    /// Whose menu offers what lies beside a kit.
    pub fn with_kit(kit: Option<&KitFile>) -> Self {
        Self { preset: PresetMenu::with_kit(kit), ..Self::default() }
    }

    pub fn show(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        let whole = ui.available_rect_before_wrap();
        let mut left = row(ui, whole.with_max_x(whole.right() - self.right));
        self.preset.show(&mut left, model, PRESET_PART * whole.width(), out);
        self.instrument.show(&mut left, model, INSTRUMENT_PART * whole.width(), out);
        let right = Rect::from_min_max(pos2(whole.right() - self.right, whole.top()), whole.max);
        let mut right = row(ui, right);
        history(&mut right, model, out);
        look(&mut right, out);
        if plain(&mut right, "Help", true).on_hover_text("?").clicked() {
            out.push(Message::Help(!model.help));
        }
        let used = right.min_rect().width();
        if (used - self.right).abs() > 0.5 {
            self.right = used;
            ui.ctx().request_discard("the top line's right side has another width");
        }
    }
}

fn row(ui: &mut Ui, rect: Rect) -> Ui {
    let mut row = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    row.spacing_mut().item_spacing.x = space::NEAR;
    row
}

/// Without a border at rest.
fn plain(ui: &mut Ui, text: &str, is_on: bool) -> Response {
    ui.add_enabled(is_on, Button::new(text).frame_when_inactive(false))
}

fn history(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    let (undo, redo) = model.undo_names();
    for (text, what, keys, nothing, message) in [
        (UNDO, undo, "Ctrl Z", NOTHING_TO_UNDO, Message::Undo),
        (REDO, redo, "Ctrl Shift Z", NOTHING_TO_REDO, Message::Redo),
    ] {
        let said = what.map_or_else(|| text.to_owned(), |what| format!("{text} {what}"));
        let button = plain(ui, text, what.is_some());
        let button = button.on_hover_text(format!("{said} ({keys})")).on_disabled_hover_text(nothing);
        if button.accessible_name(said).clicked() {
            out.push(message);
        }
    }
}

fn look(ui: &mut Ui, out: &mut Vec<Message>) {
    let button = Button::new("View").frame_when_inactive(false);
    egui::containers::menu::MenuButton::from_button(button).ui(ui, |ui| {
        let mut themes = vec![("Light", Theme::Light), ("Dark", Theme::Dark)];
        // Only where the system says.
        if ui.ctx().system_theme().is_some() {
            themes.push(("As the system", Theme::System));
        }
        for (name, theme) in themes {
            if ui.button(name).clicked() {
                out.push(Message::Theme(theme));
                ui.close();
            }
        }
        ui.separator();
        for zoom in ZOOMS {
            if ui.button(format!("{:.0} %", 100.0 * zoom)).clicked() {
                out.push(Message::Zoom(zoom));
                ui.close();
            }
        }
    });
}
