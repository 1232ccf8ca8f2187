use std::path::PathBuf;

use egui::text::{LayoutJob, TextFormat};
use egui::{Button, FontId, Id, Key, Modal, Popup, RichText, ScrollArea, TextEdit, Ui};
use firstjack_kit::KitFile;
use firstjack_looks::{space, text};
use firstjack_words::visible;

use super::files::{self, PresetFiles};
use super::shelf::{self, Listed, SHIPPED, Shelf};
use super::{preset_text, theme};
use crate::editor::{Edit, Message, Model, Stage};

const EDITED: &str = "edited";
const OPEN: &str = "open…";
const SAVE: &str = "save";
const SAVE_AS: &str = "save as…";
const RENAME: &str = "rename…";
const COPY: &str = "copy as text";
const COPIED: &str = "The preset's text is on the clipboard.";
const PASTE: &str = "paste as text…";
const SHIPPED_TITLE: &str = "shipped";
const OWN_TITLE: &str = "your own";
const RECENT_TITLE: &str = "used last";
const NO_OWN: &str = "none yet: save as…";
const FIELD: &str = "text of a preset file";
const NEW_NAME: &str = "new name of the preset";
const LOAD: &str = "open";
const CANCEL: &str = "cancel";
/// Rows of the field for a preset's text.
const FIELD_ROWS: usize = 10;
const WIDTH: f32 = 240.0;

/// The preset's name, and what can be done with presets. Files are looked for when the menu opens.
#[derive(Debug, Default)]
pub(super) struct PresetMenu {
    files: PresetFiles,
    shelf: Option<Shelf>,
    /// While the menu is open.
    listed: Option<Listed>,
    /// The name as it is typed; whether it is to get the focus.
    renaming: Option<(String, bool)>,
    /// The text of a preset while its field is open; whether it is to get the focus.
    pasted: Option<(String, bool)>,
    /// The file that was noted as used.
    noted: Option<PathBuf>,
}

impl PresetMenu {
    /// With a person's folder beside their kit.
    pub fn with_kit(kit: Option<&KitFile>) -> Self {
        Self { shelf: kit.map(Shelf::beside), ..Self::default() }
    }

    /// Draws the name in so much width, and what of the menu is open.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, width: f32, out: &mut Vec<Message>) {
        self.note(model, out);
        if self.renaming.is_some() {
            self.rename(ui, width, out);
        } else {
            let name = visible(&model.document.preset.name);
            let button = ui.add(Button::new(title(ui, &name, model.is_edited(), width)));
            let edited = if model.is_edited() { format!(", {EDITED}") } else { String::new() };
            let said = format!("preset {name}{edited}");
            let button = button.on_hover_text(&*name).accessible_name(said);
            let open = Popup::menu(&button).show(|ui| self.menu(ui, model, out));
            if open.is_none() {
                self.listed = None;
            }
        }
        self.files.show(ui.ctx(), model, out);
        self.paste(ui, out);
    }

    fn menu(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        ui.set_width(WIDTH.max(ui.available_width().min(WIDTH)));
        let most = ui.ctx().content_rect().height() - space::steps(24.0);
        ScrollArea::vertical().max_height(most).show(ui, |ui| {
            self.actions(ui, model, out);
            self.lists(ui, out);
        });
    }

    fn actions(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        let folder = self.shelf.as_ref().map(Shelf::folder);
        if item(ui, OPEN) {
            self.files.begin_at(folder);
            self.files.ask_to_open();
        }
        if item(ui, SAVE) {
            match model.path() {
                Some(path) => self.files.save_again(path, model, out),
                None => self.save_as(model, out),
            }
        }
        if item(ui, SAVE_AS) {
            self.save_as(model, out);
        }
        if item(ui, RENAME) {
            self.renaming = Some((model.document.preset.name.clone(), true));
        }
        if item(ui, COPY) {
            ui.ctx().copy_text(preset_text(&model.document));
            out.push(Message::Notice(COPIED.to_owned()));
        }
        if item(ui, PASTE) {
            self.pasted = Some((String::new(), true));
        }
    }

    /// In the person's folder, unless another one was chosen before.
    fn save_as(&mut self, model: &Model, out: &mut Vec<Message>) {
        if let Some(shelf) = &self.shelf {
            if let Err(error) = std::fs::create_dir_all(shelf.folder()) {
                out.push(Message::Notice(format!("{}: cannot make it: {error}", shelf.folder().display())));
            }
            self.files.begin_at(Some(shelf.folder()));
        }
        self.files.ask_to_save(model);
    }

    fn lists(&mut self, ui: &mut Ui, out: &mut Vec<Message>) {
        heading(ui, SHIPPED_TITLE);
        for text in SHIPPED {
            if item(ui, shipped_name(text)) {
                out.push(Message::Load(text.to_owned()));
            }
        }
        let Some(shelf) = &self.shelf else { return };
        let listed = self.listed.get_or_insert_with(|| shelf.list());
        heading(ui, OWN_TITLE);
        if listed.own.is_empty() {
            ui.label(RichText::new(NO_OWN).weak());
        }
        for path in &listed.own {
            if item(ui, &visible(&shelf::name(path))) {
                out.push(files::loaded(path));
            }
        }
        if !listed.recent.is_empty() {
            heading(ui, RECENT_TITLE);
        }
        for path in &listed.recent {
            let name = shelf::name(path);
            let button = ui.add(Button::new(&*visible(&name)).truncate().frame_when_inactive(false));
            if button.on_hover_text(path.display().to_string()).clicked() {
                out.push(files::loaded(path));
            }
        }
    }

    /// Keeps in mind which file is used.
    fn note(&mut self, model: &Model, out: &mut Vec<Message>) {
        if model.path() == self.noted.as_deref() {
            return;
        }
        self.noted = model.path().map(ToOwned::to_owned);
        if let (Some(shelf), Some(path)) = (&self.shelf, &self.noted)
            && let Err(error) = shelf.note(path)
        {
            out.push(Message::Notice(format!("cannot remember what was used last: {error}")));
        }
    }

    fn rename(&mut self, ui: &mut Ui, width: f32, out: &mut Vec<Message>) {
        let Some((typed, is_new)) = &mut self.renaming else { return };
        let field = ui.add(TextEdit::singleline(typed).desired_width(width - space::MARGIN));
        let field = field.accessible_name(NEW_NAME);
        if std::mem::take(is_new) {
            field.request_focus();
            return;
        }
        if !field.lost_focus() {
            return;
        }
        let is_given_up = ui.input(|input| input.key_pressed(Key::Escape));
        if let Some((typed, _)) = self.renaming.take()
            && !is_given_up
        {
            out.push(Message::Edit(Edit::NamePreset(typed.trim().to_owned()), Stage::Whole));
        }
    }

    fn paste(&mut self, ui: &Ui, out: &mut Vec<Message>) {
        let Some((text, is_new)) = &mut self.pasted else { return };
        let shown = Modal::new(Id::unique("preset as text")).show(ui.ctx(), |ui| {
            ui.set_width((ui.ctx().content_rect().width() - space::steps(20.0)).min(520.0));
            ui.label(FIELD);
            ScrollArea::vertical().max_height(space::steps(60.0)).show(ui, |ui| {
                let field = TextEdit::multiline(text).desired_rows(FIELD_ROWS).desired_width(f32::INFINITY);
                let field = ui.add(field.code_editor().lock_focus(false)).accessible_name(FIELD);
                if std::mem::take(is_new) {
                    field.request_focus();
                }
            });
            let buttons = |ui: &mut Ui| {
                let load = ui.add_enabled(!text.trim().is_empty(), Button::new(LOAD));
                (load.clicked(), ui.button(CANCEL).clicked())
            };
            ui.horizontal(buttons).inner
        });
        let (load, cancel) = shown.inner;
        if load {
            out.push(Message::Load(std::mem::take(text)));
        }
        if load || cancel || shown.should_close() {
            self.pasted = None;
        }
    }
}

/// One line of the menu; true if it is chosen.
fn item(ui: &mut Ui, text: &str) -> bool {
    let width = ui.available_width();
    let button = Button::new(text).truncate().frame_when_inactive(false).min_size(egui::vec2(width, 0.0));
    let is_chosen = ui.add(button).clicked();
    if is_chosen {
        ui.close();
    }
    is_chosen
}

fn heading(ui: &mut Ui, text: &str) {
    ui.add_space(space::TIGHT);
    ui.label(RichText::new(text).small().weak());
}

/// From the line that has it: the file is part of the build, and tested.
fn shipped_name(text: &str) -> &str {
    let line = text.lines().find_map(|line| line.strip_prefix("name = "));
    line.map_or("", |name| name.trim_matches('"'))
}

/// The name, whether it has been edited, and the sign of a menu.
fn title(ui: &Ui, name: &str, is_edited: bool, width: f32) -> LayoutJob {
    let theme = theme::of(ui.visuals());
    let format = |font, colour| TextFormat::simple(font, theme::colour32(colour));
    let mut job = LayoutJob::default();
    let plain = || format(FontId::proportional(text::BODY), theme.quiet);
    job.append(name, 0.0, format(theme::semibold(ui, text::BODY), theme.ink));
    if is_edited {
        job.append(EDITED, space::NEAR, plain());
    }
    job.append("▾", space::TIGHT, plain());
    job.wrap = egui::text::TextWrapping::truncate_at_width(width - space::MARGIN);
    job
}
