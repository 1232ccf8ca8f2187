use std::borrow::Cow;

use egui::{
    Button, Context, Key, Rect, Response, RichText, ScrollArea, Sense, StrokeKind, TextEdit, TextStyle,
    TextWrapMode,
};
use egui::{Popup, Role, Ui, WidgetInfo, WidgetText, pos2, vec2};
use firstjack_words::visible;

use crate::editor::views::blind_view::HIDDEN;
use crate::editor::views::files;
use crate::editor::views::{decibels, look};
use crate::editor::{Document, Edit, Message, Model, Readings, SetupFigures, SetupsEdit, Stage};

const AS_RECORDED: &str = "as recorded";
const NOT_MATCHED: &str = "not matched yet";
const MENU: &str = "…";
const RENAME: &str = "rename";
const COPY: &str = "copy setup";
const PASTE: &str = "paste setup here";

const ROW: f32 = 36.0;
/// Wide enough for its sign also in letters of 30 % more width: else rows would grow from one to the next.
const MENU_WIDTH: f32 = 36.0;
const GAP: f32 = 4.0;
/// Size of the letters of a row's figures in points.
const SECOND_LINE: f32 = 11.5;

/// The setups and "as recorded": which one is heard, their names, and presets.
#[derive(Debug, Default)]
pub struct SetupsView {
    renaming: Option<Renaming>,
}

#[derive(Debug)]
struct Renaming {
    index: usize,
    typed: String,
    /// It takes the focus when it appears.
    is_new: bool,
}

impl SetupsView {
    /// Draws them; nothing but a note while names are hidden.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        hide: bool,
        out: &mut Vec<Message>,
    ) {
        take_dropped(ui.ctx(), out);
        if hide {
            ui.label(HIDDEN);
            return;
        }
        ScrollArea::vertical().id_salt("setups").auto_shrink([false, true]).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            self.row(ui, model, readings, None, out);
            for index in 0..model.document.preset.setups.len() {
                self.row(ui, model, readings, Some(index), out);
            }
        });
    }

    fn row(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        place: Option<usize>,
        out: &mut Vec<Message>,
    ) {
        ui.push_id(("setup", place), |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = GAP;
                if let Some(index) = place
                    && self.renaming.as_ref().is_some_and(|renaming| renaming.index == index)
                {
                    self.rename(ui, model, out);
                    return;
                }
                let row = Row::new(model, readings, place);
                let response = row.show(ui);
                if response.clicked() {
                    out.push(Message::Hear(place));
                }
                if let Some(index) = place {
                    response.context_menu(|ui| self.menu(ui, model, index, out));
                    let button = ui.add_sized(vec2(MENU_WIDTH, ROW), Button::new(MENU));
                    Popup::menu(&button).show(|ui| self.menu(ui, model, index, out));
                    button.on_hover_text(&*row.name).accessible_name(format!("more for {}", row.name));
                }
            });
        });
    }

    fn menu(&mut self, ui: &mut Ui, model: &Model, index: usize, out: &mut Vec<Message>) {
        if ui.button(RENAME).clicked() {
            let typed = model.document.preset.setups[index].name.clone();
            self.renaming = Some(Renaming { index, typed, is_new: true });
            ui.close();
        }
        if ui.button(COPY).clicked() {
            out.push(Message::Copy(index));
            ui.close();
        }
        if ui.add_enabled(model.can_paste(), Button::new(PASTE)).clicked() {
            out.push(Message::Paste(index));
            ui.close();
        }
    }

    fn rename(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        let Some(renaming) = &mut self.renaming else {
            return;
        };
        let field = TextEdit::singleline(&mut renaming.typed).desired_width(ui.available_width() - 8.0);
        let field = ui.add(field).accessible_name("new name of the setup");
        if std::mem::take(&mut renaming.is_new) {
            field.request_focus();
            return;
        }
        if !field.lost_focus() {
            return;
        }
        let is_given_up = ui.input(|input| input.key_pressed(Key::Escape));
        if let Some(Renaming { index, typed, .. }) = self.renaming.take()
            && !is_given_up
        {
            out.extend(renamed(&model.document, index, typed.trim()));
        }
    }
}

/// Hears a setup by its number on the keyboard, and "as recorded" by 0, unless something is being typed. For the whole window, once a
/// frame. No key is taken from the host.
pub fn keys(ctx: &Context, model: &Model, out: &mut Vec<Message>) {
    const KEYS: [Key; crate::SETUPS + 1] =
        [Key::Num0, Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6];
    if ctx.text_edit_focused() {
        return;
    }
    let pressed = ctx.input(|input| {
        let plain = input.modifiers.is_none();
        KEYS.iter().position(|key| plain && input.key_pressed(*key))
    });
    let count = model.document.preset.setups.len();
    let heard =
        pressed.map(|number| number.checked_sub(1)).filter(|heard| heard.is_none_or(|index| index < count));
    out.extend(heard.map(Message::Hear));
}

/// The document's preset as the text of a file.
pub fn preset_text(document: &Document) -> String {
    document.preset.to_toml()
}

/// A row of the list.
struct Row<'a> {
    place: Option<usize>,
    /// As it is shown.
    name: Cow<'a, str>,
    is_heard: bool,
    /// Level at the lowest string.
    level: String,
    /// What matching does.
    matching: String,
}

impl<'a> Row<'a> {
    fn new(model: &'a Model, readings: &Readings, place: Option<usize>) -> Self {
        let setup = place.and_then(|index| model.document.preset.setups.get(index));
        Self {
            place,
            name: visible(setup.map_or(AS_RECORDED, |setup| &setup.name)),
            is_heard: model.document.heard == place,
            level: level(model, model.figures.of(place)),
            matching: matching(&model.document, readings, place),
        }
    }

    fn show(&self, ui: &mut Ui) -> Response {
        let width = ui.available_width() - MENU_WIDTH - GAP;
        let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click());
        self.paint(ui, rect, &response);
        let said = format!("{}, {}", self.name, self.figures());
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, self.is_heard, &said));
        response
    }

    fn figures(&self) -> String {
        let parts = [&*self.level, &*self.matching].into_iter().filter(|part| !part.is_empty());
        parts.collect::<Vec<_>>().join(", ")
    }

    fn paint(&self, ui: &Ui, rect: Rect, response: &Response) {
        let visuals = ui.visuals();
        let painter = ui.painter();
        if self.is_heard {
            painter.rect_filled(rect, 3.0, visuals.widgets.inactive.weak_bg_fill);
            let bar = rect.with_max_x(rect.left() + 4.0);
            painter.rect_filled(bar, 2.0, visuals.strong_text_color());
        } else if response.hovered() {
            painter.rect_filled(rect, 3.0, visuals.faint_bg_color);
        }
        if response.has_focus() {
            painter.rect_stroke(rect, 3.0, visuals.selection.stroke, StrokeKind::Inside);
        }
        let inner = rect.shrink2(vec2(10.0, 2.0));
        let number = self.place.map_or(0, |index| index + 1).to_string();
        write(ui, pos2(inner.left(), inner.top()), WidgetText::from(RichText::new(number).weak()), 14.0);
        let sample = Rect::from_min_size(pos2(inner.left() + 16.0, inner.top()), vec2(34.0, 16.0));
        look::paint(ui, sample, look::of(self.place, self.is_heard, visuals));
        let left = sample.right() + 8.0;
        let width = inner.right() - left;
        let name = RichText::new(&*self.name);
        let name = if self.is_heard { name.strong() } else { name };
        let name_cut = write(ui, pos2(left, inner.top()), name.into(), width);
        let figures = RichText::new(self.figures()).size(SECOND_LINE);
        let below = pos2(sample.left(), inner.top() + 17.0);
        let figures_cut = write(ui, below, figures.into(), inner.right() - below.x);
        if name_cut || figures_cut {
            response.clone().on_hover_text(format!("{}, {}", self.name, self.figures()));
        }
    }
}

fn galley(ui: &Ui, text: WidgetText, width: f32) -> std::sync::Arc<egui::Galley> {
    text.into_galley(ui, Some(TextWrapMode::Truncate), width, TextStyle::Body)
}

/// True if it had to be cut.
fn write(ui: &Ui, at: egui::Pos2, text: WidgetText, width: f32) -> bool {
    let galley = galley(ui, text, width);
    let is_elided = galley.elided;
    ui.painter().galley(at, galley, ui.visuals().text_color());
    is_elided
}

fn level(model: &Model, figures: &SetupFigures) -> String {
    let figures_of = &model.figures;
    let lowest =
        figures_of.lowest().and_then(|index| figures_of.strings.get(index).zip(figures.losses_db.get(index)));
    lowest.map_or_else(String::new, |(string, loss_db)| format!("{string} {} dB", decibels::signed(-loss_db)))
}

fn matching(document: &Document, readings: &Readings, place: Option<usize>) -> String {
    match place.filter(|_| document.level_match) {
        None => String::new(),
        Some(index) => match readings.matching_db.get(index).copied().flatten() {
            Some(db) if readings.learned_seconds == 0.0 => format!("a guess: {} dB", decibels::signed(db)),
            Some(db) => format!("matched by {} dB", decibels::signed(db)),
            None => NOT_MATCHED.to_owned(),
        },
    }
}

/// Another name for a setup; nothing if it is the old one.
fn renamed(document: &Document, index: usize, name: &str) -> Option<Message> {
    let is_new = document.preset.setups.get(index)?.name != name;
    let edit = Edit::Setups(SetupsEdit::Rename(index, name.to_owned()));
    is_new.then_some(Message::Edit(edit, Stage::Whole))
}

/// Loads a file that was dropped onto the window.
fn take_dropped(ctx: &Context, out: &mut Vec<Message>) {
    let dropped = ctx.input(|input| input.raw.dropped_files.first().cloned());
    out.extend(dropped.map(|file| files::read(file.path(), file.bytes())));
}
