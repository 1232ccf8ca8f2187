use egui::{Button, CentralPanel, Key, KeyboardShortcut, Label, Modifiers, Panel, ScrollArea, Ui, UiBuilder};
use firstjack_kit::KitFile;

use super::{
    BlindView, ChainViews, CurvesView, LevelsView, Meters, SetupsView, StringsView, VerdictView, help, keys,
    measure,
};
use crate::editor::{Message, Model, Readings, Theme};

/// From this width on there is room for a wider list of setups.
const WIDE: f32 = 900.0;

/// From this height of the middle on the chain stands above the rest, so high.
const TALL: f32 = 430.0;
const CHAIN_HEIGHT: f32 = 225.0;

/// How far everything can be enlarged, in steps.
const ZOOMS: [f32; 6] = [0.8, 1.0, 1.25, 1.5, 2.0, 3.0];

/// What is looked at below the verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Page {
    #[default]
    Curves,
    Chain,
    Strings,
    Levels,
    Blind,
}

impl Page {
    const ALL: [Self; 5] = [Self::Curves, Self::Chain, Self::Strings, Self::Levels, Self::Blind];

    const fn name(self) -> &'static str {
        match self {
            Self::Curves => "Curves",
            Self::Chain => "Chain",
            Self::Strings => "Strings",
            Self::Levels => "Levels and meters",
            Self::Blind => "Blind",
        }
    }
}

/// All views with their own drawing state.
#[derive(Default)]
pub struct Views {
    verdict: VerdictView,
    chain: ChainViews,
    curves: CurvesView,
    strings: StringsView,
    setups: SetupsView,
    levels: LevelsView,
    meters: Meters,
    blind: BlindView,
    page: Page,
}

impl Views {
    /// Views whose menus offer what is in a kit.
    pub fn with_kit(file: Option<KitFile>) -> Self {
        Self { chain: ChainViews::with_kit(file), ..Self::default() }
    }

    /// Draws the whole editor, and gathers what was asked for.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, out: &mut Vec<Message>) {
        shortcuts(ui, model, out);
        keys(ui.ctx(), model, out);
        let hide = model.is_blind();
        let width = if ui.ctx().content_rect().width() < WIDE { 230.0 } else { 290.0 };
        Panel::top("verdict").show(ui, |ui| {
            self.verdict.show(ui, model, readings, hide, out);
            bar(ui, model, out);
        });
        let side = Panel::right("setups").resizable(false).exact_size(width);
        let mut side = side.show(ui, set_aside).inner;
        let tall = ui.available_height() >= TALL;
        if tall {
            Panel::top("chain").resizable(false).exact_size(CHAIN_HEIGHT).show(ui, |ui| {
                self.chain.show(ui, model, readings, hide, out);
            });
        }
        CentralPanel::default().show(ui, |ui| {
            if tall && self.page == Page::Chain {
                self.page = Page::Curves;
            }
            ui.horizontal_wrapped(|ui| {
                for page in Page::ALL.into_iter().filter(|page| !(tall && *page == Page::Chain)) {
                    ui.selectable_value(&mut self.page, page, page.name());
                }
            });
            self.page(ui, model, readings, hide, out);
        });
        // Last, since Tab goes from the left to the right.
        self.setups.show(&mut side, model, readings, hide, out);
        help::show(ui, model, out);
        measure::show(ui, model, out);
    }

    fn page(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, hide: bool, out: &mut Vec<Message>) {
        match self.page {
            Page::Curves => self.curves.show(ui, model, readings, hide, out),
            Page::Chain => self.chain.show(ui, model, readings, hide, out),
            Page::Strings => {
                ScrollArea::both().show(ui, |ui| self.strings.show(ui, model, readings, hide, out));
            }
            Page::Levels => {
                ScrollArea::vertical().show(ui, |ui| {
                    self.levels.show(ui, model, readings, out);
                    ui.separator();
                    self.meters.show(ui, model, readings, out);
                });
            }
            Page::Blind => {
                ScrollArea::vertical().show(ui, |ui| self.blind.show(ui, model, readings, out));
            }
        }
    }
}

/// A place that is drawn in later.
fn set_aside(ui: &mut Ui) -> Ui {
    let rect = ui.available_rect_before_wrap();
    ui.advance_cursor_after_rect(rect);
    ui.new_child(UiBuilder::new().max_rect(rect))
}

/// Undo, redo, help, how it looks, and what there is to say.
fn bar(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    ui.horizontal(|ui| {
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
        if let Some(notice) = &model.notice {
            ui.add(Label::new(notice).truncate()).on_hover_text(notice);
        }
    });
}

fn look(ui: &mut Ui, out: &mut Vec<Message>) {
    ui.menu_button("View", |ui| {
        for (name, theme) in
            [("Light", Theme::Light), ("Dark", Theme::Dark), ("As the system", Theme::System)]
        {
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

/// Those that host and window let through, while no field is typed in.
fn shortcuts(ui: &Ui, model: &Model, out: &mut Vec<Message>) {
    let redo = KeyboardShortcut::new(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    let undo = KeyboardShortcut::new(Modifiers::COMMAND, Key::Z);
    let typing = ui.ctx().text_edit_focused();
    ui.input_mut(|input| {
        if input.key_pressed(Key::F1) {
            out.push(Message::Help(!model.help));
        }
        if typing {
            return;
        }
        if input.consume_shortcut(&redo) {
            out.push(Message::Redo);
        } else if input.consume_shortcut(&undo) {
            out.push(Message::Undo);
        }
    });
}
