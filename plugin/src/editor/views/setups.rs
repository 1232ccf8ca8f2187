//! The list of setups: which one is heard, what the low string keeps in each, and their order.

use egui::{Context, CursorIcon, Key, Label, Popup, Rect, RichText, ScrollArea, Sense, Ui, WidgetInfo};
use firstjack_looks::{space, text};
use firstjack_words::visible;

use crate::editor::views::blind_view::HIDDEN;
use crate::editor::views::files;
use crate::editor::views::theme::{self, colour32};
use crate::editor::views::tiles::{Dragged, Parts, Renaming, Tile, bars, edit, menu, moved, row};
use crate::editor::{Document, Message, Model, Readings, SetupsEdit};

const ADD: &str = "add setup";
const ADD_HELP: &str = "A setup with a plain input, at the end.";
const BACK_HELP: &str = "Hears what was heard before, there and back again.";
const BACK_KEY: &str = "9";
const FIRST_STEP: &str = "Click a setup, or press its number, to hear it.";
const HOW: &str = "Click to hear it. Drag it, or press Alt with up or down, to move it; double-click the name to rename it.";
const CAPTION: &str = "setups";

/// Height of a tile where there is room, and where there is none, in points.
const TILE: (f32, f32) = (48.0, 20.0);
/// Of a row below them, at most.
const ROW: f32 = 32.0;
const GAP: f32 = 2.0;
/// There is a caption if there is room for so much.
const WITH_CAPTION: f32 = 300.0;

/// The setups and "as recorded": which one is heard, their names, and their order.
#[derive(Debug, Default)]
pub struct SetupsView {
    renaming: Option<Renaming>,
    dragged: Option<Dragged>,
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
        let has_caption = ui.available_height() >= WITH_CAPTION;
        if has_caption {
            caption(ui, model);
        }
        let count = model.document.preset.setups.len();
        let rows = count + 2 + usize::from(count < crate::SETUPS);
        let height = height(ui.available_height(), rows);
        ScrollArea::vertical().id_salt("setups").auto_shrink([false, true]).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = GAP;
            self.tiles(ui, model, readings, height, out);
            below(ui, model, height.min(ROW), out);
        });
    }

    fn tiles(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        height: f32,
        out: &mut Vec<Message>,
    ) {
        let count = model.document.preset.setups.len();
        self.tile(ui, model, &Tile::new(model, readings, None), height, out);
        let rects: Vec<Rect> = (0..count)
            .map(|index| self.tile(ui, model, &Tile::new(model, readings, Some(index)), height, out))
            .collect();
        let is_on_its_way = self.dragged.as_ref().is_some_and(|dragged| {
            dragged.show(ui, &rects, &Tile::new(model, readings, Some(dragged.index)), out)
        });
        if !is_on_its_way {
            self.dragged = None;
        }
    }

    /// Where it is.
    fn tile(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        tile: &Tile<'_>,
        height: f32,
        out: &mut Vec<Message>,
    ) -> Rect {
        let response = tile.place(ui, height);
        let rect = response.rect;
        let is_named_on = |at| tile.name_rect(rect).contains(at);
        if response.double_clicked() {
            // The first of the two clicks has heard it.
            let is_named = response.interact_pointer_pos().is_some_and(is_named_on);
            let index = tile.place.filter(|_| is_named);
            self.renaming = index.and_then(|index| Renaming::of(&model.document, index));
        } else if response.clicked() {
            out.push(Message::Hear(tile.place));
        }
        Dragged::follow(&mut self.dragged, &response, tile, &model.document);
        let is_away = self.dragged.as_ref().is_some_and(|dragged| Some(dragged.index) == tile.place);
        tile.ground(ui, &response, is_away);
        if self.is_renamed(tile.place) {
            self.rename(ui, model, tile.name_rect(rect), out);
            return rect;
        }
        if !is_away {
            tile.paint(ui, ui.painter(), rect);
        }
        if let Some(index) = tile.place {
            self.keys(ui, model, index, &response, out);
            self.menus(ui, model, tile, index, &response, out);
        }
        if response.dragged() {
            ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
        }
        response.on_hover_text(format!("{}\n{HOW}", tile.said()));
        rect
    }

    fn is_renamed(&self, place: Option<usize>) -> bool {
        self.renaming.as_ref().is_some_and(|renaming| Some(renaming.index) == place)
    }

    fn rename(&mut self, ui: &mut Ui, model: &Model, rect: Rect, out: &mut Vec<Message>) {
        let renaming = self.renaming.take();
        self.renaming = renaming
            .and_then(|mut renaming| renaming.show(ui, rect, &model.document, out).then_some(renaming));
    }

    fn keys(&self, ui: &Ui, model: &Model, index: usize, tile: &egui::Response, out: &mut Vec<Message>) {
        let count = model.document.preset.setups.len();
        if tile.has_focus()
            && let Some(to) = moved(ui, index, count)
        {
            out.push(edit(SetupsEdit::Move(index, to)));
            ui.memory_mut(|memory| memory.request_focus(Tile::id(Some(to))));
        }
    }

    /// By the other button of the mouse, and by a button of its own.
    fn menus(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        tile: &Tile<'_>,
        index: usize,
        response: &egui::Response,
        out: &mut Vec<Message>,
    ) {
        let mut renaming = None;
        response.context_menu(|ui| renaming = menu(ui, model, index, out));
        let button = Tile::id(tile.place).with("menu");
        let button = ui.interact(Parts::of(response.rect, 0.0).menu, button, Sense::click());
        button
            .widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, format!("more for {}", tile.name)));
        tile.paint_menu(ui, response, &button);
        Popup::menu(&button).show(|ui| renaming = renaming.take().or(menu(ui, model, index, out)));
        if renaming.is_some() {
            self.renaming = renaming;
        }
    }
}

/// What the figures of the tiles are.
fn caption(ui: &mut Ui, model: &Model) {
    let theme = theme::of(ui.visuals());
    let small = |words: String| RichText::new(words).size(text::SMALL).color(colour32(theme.quiet));
    let lowest = model.figures.lowest().and_then(|index| model.figures.strings.get(index));
    ui.horizontal(|ui| {
        ui.add_space(space::NEAR);
        ui.label(small(CAPTION.to_owned()));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add_space(space::NEAR);
            if let Some(string) = lowest {
                let label = Label::new(small(format!("{string} keeps, in dB"))).truncate();
                ui.add(label).on_hover_text(bars());
            }
        });
    });
}

/// What stands under the tiles: one more, and the way back to what was heard before.
fn below(ui: &mut Ui, model: &Model, height: f32, out: &mut Vec<Message>) {
    if model.document.preset.setups.len() < crate::SETUPS && row(ui, height, "+", ADD, ADD_HELP).clicked() {
        out.push(edit(SetupsEdit::Add));
    }
    match model.heard_before() {
        Some(place) => {
            let name = format!("back to {}", name(&model.document, place));
            if row(ui, height, BACK_KEY, &name, BACK_HELP).clicked() {
                out.push(Message::HearBefore);
            }
        }
        None => {
            let colour = colour32(theme::of(ui.visuals()).quiet);
            let words = RichText::new(FIRST_STEP).size(text::SMALL).color(colour);
            ui.horizontal(|ui| {
                ui.add_space(space::NEAR);
                ui.add(Label::new(words).wrap());
            });
        }
    }
}

fn name(document: &Document, place: Option<usize>) -> std::borrow::Cow<'_, str> {
    let setup = place.and_then(|index| document.preset.setups.get(index));
    visible(setup.map_or("as recorded", |setup| &setup.name))
}

/// Of each of so many tiles and rows, so that all are seen if they can be.
fn height(room: f32, rows: usize) -> f32 {
    let rows = f32::from(u8::try_from(rows).unwrap_or(u8::MAX));
    (room / rows - GAP).clamp(TILE.1, TILE.0).floor()
}

/// Hears a setup by its number on the keyboard, "as recorded" by 0 and what was heard before by 9, unless something is being typed. For
/// the whole window, once a frame. No key is taken from the host.
pub fn keys(ctx: &Context, model: &Model, out: &mut Vec<Message>) {
    const KEYS: [Key; crate::SETUPS + 1] =
        [Key::Num0, Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6];
    if ctx.text_edit_focused() {
        return;
    }
    let (pressed, back) = ctx.input(|input| {
        let is_pressed = |key| input.modifiers.is_none() && input.key_pressed(key);
        (KEYS.into_iter().position(is_pressed), is_pressed(Key::Num9))
    });
    let count = model.document.preset.setups.len();
    let heard =
        pressed.map(|number| number.checked_sub(1)).filter(|heard| heard.is_none_or(|index| index < count));
    out.extend(heard.map(Message::Hear));
    out.extend((back && model.heard_before().is_some()).then_some(Message::HearBefore));
}

/// The document's preset as the text of a file.
pub fn preset_text(document: &Document) -> String {
    document.preset.to_toml()
}

/// Loads a file that was dropped onto the window.
fn take_dropped(ctx: &Context, out: &mut Vec<Message>) {
    let dropped = ctx.input(|input| input.raw.dropped_files.first().cloned());
    out.extend(dropped.map(|file| files::read(file.path(), file.bytes())));
}
