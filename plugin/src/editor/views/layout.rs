use egui::{Frame, Key, KeyboardShortcut, Modifiers, Rect, ScrollArea, Stroke, Ui, UiBuilder, pos2, vec2};
use firstjack_kit::KitFile;
use firstjack_looks::{space, strokes};

use super::{
    Alarms, BlindView, ChainViews, CurvesView, SetupsView, StringsView, VerdictView, foot, help, keys,
    measure, notices, theme,
};
use crate::editor::views::foot::Foot;
use crate::editor::views::topline::TopLine;
use crate::editor::{Message, Model, Page, Readings};

/// From this height on rows are as high as they like.
const HIGH: f32 = 600.0;

/// Where everything stands. Nothing of it goes away in a smaller window.
#[derive(Debug, Clone, Copy)]
struct Regions {
    line: Rect,
    verdict: Rect,
    tiles: Rect,
    page: Rect,
    chains: Rect,
    foot: Rect,
}

impl Regions {
    fn of(whole: Rect) -> Self {
        let high = whole.height() >= HIGH;
        let inside = whole.shrink2(vec2(space::MARGIN, 0.0));
        let gap = if high { space::INSIDE } else { space::NEAR };
        let line_height = space::steps(if high { 10.0 } else { 9.0 });
        let foot_height = foot::height(inside.width());
        let verdict_height = space::steps(if high { 16.0 } else { 15.0 });
        let chains_height = if high { (0.24 * whole.height()).clamp(140.0, 240.0) } else { 110.0 };
        let row = |top: f32, bottom: f32| {
            Rect::from_min_max(pos2(inside.left(), top), pos2(inside.right(), bottom))
        };
        let line = row(inside.top(), inside.top() + line_height);
        let verdict = row(line.bottom(), line.bottom() + verdict_height);
        let foot = row(inside.bottom() - foot_height, inside.bottom());
        let chains = row(foot.top() - gap - chains_height, foot.top() - gap);
        let middle = row(verdict.bottom() + gap, chains.top() - gap);
        let tiles_width = (0.27 * inside.width()).clamp(232.0, 300.0);
        let (tiles, page) = middle.split_left_right_at_x(middle.left() + tiles_width);
        Self { line, verdict, tiles, page: page.with_min_x(page.left() + gap), chains, foot }
    }
}

/// All views with their own drawing state.
#[derive(Default)]
pub struct Views {
    line: TopLine,
    verdict: VerdictView,
    chain: ChainViews,
    curves: CurvesView,
    strings: StringsView,
    setups: SetupsView,
    blind: BlindView,
    foot: Foot,
    alarms: Alarms,
}

impl Views {
    /// Views whose menus offer what is in a kit.
    pub fn with_kit(file: Option<KitFile>) -> Self {
        let line = TopLine::with_kit(file.as_ref());
        Self { line, chain: ChainViews::with_kit(file), ..Self::default() }
    }

    /// Draws the whole editor, and gathers what was asked for. Tab goes as it is drawn: from the left to the right, from the top down.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, out: &mut Vec<Message>) {
        shortcuts(ui, model, out);
        keys(ui.ctx(), model, out);
        let hide = model.is_blind();
        let whole = ui.available_rect_before_wrap();
        ui.painter().rect_filled(whole, 0.0, ui.visuals().panel_fill);
        let regions = Regions::of(whole);
        region(ui, regions.line, |ui| self.line.show(ui, model, out));
        self.alarms.note(readings);
        region(ui, regions.verdict, |ui| {
            self.verdict.show(ui, model, readings, &mut self.alarms, hide, out);
        });
        region(ui, regions.tiles, |ui| self.setups.show(ui, model, readings, hide, out));
        surface(ui, regions.page, |ui| {
            tabs(ui, model, out);
            self.page(ui, model, readings, hide, out);
        });
        region(ui, regions.chains, |ui| self.chain.show(ui, model, readings, hide, out));
        line_above(ui, regions.foot);
        region(ui, regions.foot, |ui| {
            self.foot.show(ui, model, readings, &mut self.alarms, out);
        });
        ui.advance_cursor_after_rect(whole);
        notices::show(ui, model, regions.foot.top(), out);
        help::show(ui, model, out);
        measure::show(ui, model, out);
    }

    fn page(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, hide: bool, out: &mut Vec<Message>) {
        match model.page {
            Page::Curves => self.curves.show(ui, model, readings, hide, out),
            Page::Strings => {
                ScrollArea::both().id_salt("strings").show(ui, |ui| {
                    self.strings.show(ui, model, readings, hide, out);
                });
            }
            Page::Blind => {
                ScrollArea::vertical().id_salt("blind").show(ui, |ui| {
                    self.blind.show(ui, model, readings, out);
                });
            }
        }
    }
}

/// Draws in a place, and nowhere else.
fn region(ui: &mut Ui, rect: Rect, draw: impl FnOnce(&mut Ui)) {
    let mut place = ui.new_child(UiBuilder::new().max_rect(rect));
    // A ring around what has the focus.
    place.set_clip_rect(rect.expand(2.0).intersect(ui.clip_rect()));
    draw(&mut place);
}

/// The same on a surface.
fn surface(ui: &mut Ui, rect: Rect, draw: impl FnOnce(&mut Ui)) {
    let theme = theme::of(ui.visuals());
    let ground = Frame::new()
        .fill(theme::colour32(theme.surface))
        .stroke(Stroke::new(strokes::THIN, theme::colour32(theme.line)))
        .corner_radius(theme::radius(space::SURFACE_RADIUS));
    ui.painter().add(ground.paint(rect));
    region(ui, rect.shrink(space::NEAR), draw);
}

fn line_above(ui: &Ui, rect: Rect) {
    let line = theme::colour32(theme::of(ui.visuals()).line);
    let whole = ui.available_rect_before_wrap();
    ui.painter().hline(whole.x_range(), rect.top(), Stroke::new(strokes::THIN, line));
}

const fn title(page: Page) -> &'static str {
    match page {
        Page::Curves => "Curves",
        Page::Strings => "Strings",
        Page::Blind => "Blind test",
    }
}

fn tabs(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    ui.horizontal(|ui| {
        for page in Page::ALL {
            if ui.selectable_label(model.page == page, title(page)).clicked() {
                out.push(Message::Page(page));
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
        if typing {
            return;
        }
        // What draws the window passes no function keys on.
        if input.events.iter().any(|event| matches!(event, egui::Event::Text(text) if text == "?")) {
            out.push(Message::Help(!model.help));
        }
        if input.consume_shortcut(&redo) {
            out.push(Message::Redo);
        } else if input.consume_shortcut(&undo) {
            out.push(Message::Undo);
        }
    });
}
