use egui::{Button, Ui};

use super::{Renaming, edit};
use crate::editor::{Message, Model, SetupsEdit};

/// What can be done to a setup. Something if it is to be renamed.
pub(in crate::editor::views) fn menu(
    ui: &mut Ui,
    model: &Model,
    index: usize,
    out: &mut Vec<Message>,
) -> Option<Renaming> {
    let last = model.document.preset.setups.len().saturating_sub(1);
    let is_chosen = |ui: &mut Ui, on: bool, name: &str| {
        let chosen = ui.add_enabled(on, Button::new(name)).clicked();
        if chosen {
            ui.close();
        }
        chosen
    };
    let renaming = is_chosen(ui, true, "rename").then(|| Renaming::of(&model.document, index)).flatten();
    if is_chosen(ui, true, "duplicate") {
        out.push(edit(SetupsEdit::Duplicate(index)));
    }
    if is_chosen(ui, index > 0, "move up") {
        out.push(edit(SetupsEdit::Move(index, index - 1)));
    }
    if is_chosen(ui, index < last, "move down") {
        out.push(edit(SetupsEdit::Move(index, index + 1)));
    }
    ui.separator();
    if is_chosen(ui, true, "copy") {
        out.push(Message::Copy(index));
    }
    if is_chosen(ui, model.can_paste(), "paste here") {
        out.push(Message::Paste(index));
    }
    ui.separator();
    if is_chosen(ui, true, "remove") {
        out.push(edit(SetupsEdit::Remove(index)));
    }
    renaming
}
