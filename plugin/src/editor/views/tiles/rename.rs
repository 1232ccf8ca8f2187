use egui::{Key, Rect, TextEdit, Ui};

use super::edit;
use crate::editor::{Document, Message, SetupsEdit};

const FIELD: &str = "new name of the setup";

/// A setup that is being renamed where its name stands.
#[derive(Debug)]
pub(in crate::editor::views) struct Renaming {
    pub index: usize,
    typed: String,
    /// It takes the focus when it appears.
    is_new: bool,
}

impl Renaming {
    /// Of a setup, with the name that it has.
    pub fn of(document: &Document, index: usize) -> Option<Self> {
        let typed = document.preset.setups.get(index)?.name.clone();
        Some(Self { index, typed, is_new: true })
    }

    /// The field in its place. False once it is done with: by Enter, by another click, or given up by Escape.
    pub fn show(&mut self, ui: &mut Ui, rect: Rect, document: &Document, out: &mut Vec<Message>) -> bool {
        let field = ui.put(rect, TextEdit::singleline(&mut self.typed)).accessible_name(FIELD);
        if std::mem::take(&mut self.is_new) {
            field.request_focus();
            return true;
        }
        if field.lost_focus() && !ui.input(|input| input.key_pressed(Key::Escape)) {
            out.extend(self.renamed(document));
        }
        !field.lost_focus()
    }

    /// Nothing if it is the old name.
    fn renamed(&self, document: &Document) -> Option<Message> {
        let name = self.typed.trim();
        let is_new = document.preset.setups.get(self.index)?.name != name;
        is_new.then(|| edit(SetupsEdit::Rename(self.index, name.to_owned())))
    }
}
