use egui::{Align, Button, Layout, Ui};

use crate::editor::{Message, Model, Theme};

/// How far everything can be enlarged, in steps.
const ZOOMS: [f32; 6] = [0.8, 1.0, 1.25, 1.5, 2.0, 3.0];

/// The preset, the instrument, undo and redo, how it looks, and help.
pub(crate) fn show(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
        let (undo, redo) = model.undo_names();
        let (can_undo, can_redo) = (undo.is_some(), redo.is_some());
        let mut button = |name: &str, on: bool, message: Message| {
            if ui.add_enabled(on, Button::new(name).small()).clicked() {
                out.push(message);
            }
        };
        button("Undo", can_undo, Message::Undo);
        button("Redo", can_redo, Message::Redo);
        button("Help", true, Message::Help(!model.help));
        look(ui, out);
    });
}

fn look(ui: &mut Ui, out: &mut Vec<Message>) {
    ui.menu_button("View", |ui| {
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
