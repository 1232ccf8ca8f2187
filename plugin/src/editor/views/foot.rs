use egui::{Align, Color32, Label, Layout, Rect, RichText, Ui, UiBuilder, pos2, vec2};
use firstjack_looks::{space, text};

use crate::editor::views::{Alarms, LevelsView, Meters, look};
use crate::editor::{Allowance, Message, Model, Readings};

const TRACKS: &str = "left: first pickup; right: second";
const MONO: &str = "mono: only the first pickup is heard";
/// From this width on everything stands in one row.
const WIDE: f32 = 1760.0;
/// And from this one on meters are long.
const LONG: f32 = 960.0;
/// Parts of the room that are left for which track is which, and of the rest for what noise allows, where that is said.
const TRACKS_PART: f32 = 0.3;
const ALLOWANCE_PART: f32 = 0.6;
/// Of a row, in points.
const ROW: f32 = 28.0;

/// Whether a foot of this width has one row.
pub(super) fn is_wide(width: f32) -> bool {
    width >= WIDE
}

/// How high it is.
pub(super) fn height(width: f32) -> f32 {
    if is_wide(width) { ROW + space::NEAR } else { 2.0 * ROW + space::NEAR }
}

/// Levels, what shapes and what protects: always in sight.
#[derive(Debug, Default)]
pub(super) struct Foot {
    levels: LevelsView,
    meters: Meters,
    /// How wide what stands at the right was last.
    right: f32,
}

impl Foot {
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        alarms: &mut Alarms,
        out: &mut Vec<Message>,
    ) {
        let whole = ui.available_rect_before_wrap().shrink2(vec2(0.0, 0.5 * space::NEAR));
        let wide = is_wide(whole.width());
        let first = whole.with_max_y(whole.top() + ROW);
        let mut first = row(ui, first);
        self.meters.show(&mut first, model, readings, alarms, whole.width() >= LONG);
        if wide {
            self.levels.show(&mut first, model, readings, out);
        }
        self.levels.limit(&mut first, model, out);
        let at = whole.right() - self.right;
        let right = Rect::from_min_max(pos2(at, whole.top()), pos2(whole.right(), whole.top() + ROW));
        if wide {
            self.rest(&mut first, model, readings, at, out);
        }
        let mut right = row(ui, right);
        self.levels.safety(&mut right, model, readings, alarms, out);
        let used = right.min_rect().width();
        if (used - self.right).abs() > 0.5 {
            self.right = used;
            ui.ctx().request_discard("the foot's right side has another width");
        }
        if !wide {
            let mut second = row(ui, whole.with_min_y(whole.bottom() - ROW));
            self.levels.show(&mut second, model, readings, out);
            self.rest(&mut second, model, readings, whole.right(), out);
        }
    }

    /// Where what is restored comes down again, what noise allows, and which track is which, up to this place.
    fn rest(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, end: f32, out: &mut Vec<Message>) {
        let says = readings.allowance != Allowance::None;
        let room = end - ui.cursor().left();
        let tracks_room = tracks_width(ui, model, readings).min(if says { TRACKS_PART * room } else { room });
        let upto = end - tracks_room;
        let room = upto - ui.cursor().left();
        self.levels.floor(ui, model, upto - if says { ALLOWANCE_PART * room } else { 0.0 }, out);
        let room = upto - space::NEAR - ui.cursor().left();
        if says && room > 0.0 {
            let layout = Layout::left_to_right(Align::Center);
            ui.allocate_ui_with_layout(vec2(room, ROW), layout, |ui| {
                self.levels.allowance(ui, model, readings, out);
            });
        }
        tracks(ui, model, readings, end);
    }
}

fn row(ui: &mut Ui, rect: Rect) -> Ui {
    let mut row = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    row.spacing_mut().item_spacing.x = space::NEAR;
    row
}

/// Which track is which, if that has to be said.
fn tracks_said(model: &Model, readings: &Readings) -> Option<&'static str> {
    let said = if readings.lacks_second_track(&model.document) { MONO } else { TRACKS };
    (model.document.preset.pickups.count() > 1).then_some(said)
}

/// What that needs, in points.
fn tracks_width(ui: &Ui, model: &Model, readings: &Readings) -> f32 {
    let font = look::font(ui, text::SMALL, false);
    let width = |said: &str| {
        ui.painter().layout_no_wrap(said.to_owned(), font, Color32::PLACEHOLDER).size().x + 2.0 * space::NEAR
    };
    tracks_said(model, readings).map_or(0.0, width)
}

/// The same, up to this place.
fn tracks(ui: &mut Ui, model: &Model, readings: &Readings, end: f32) {
    let Some(said) = tracks_said(model, readings) else { return };
    let text = RichText::new(said).small();
    let text = if readings.lacks_second_track(&model.document) {
        text.color(ui.visuals().warn_fg_color)
    } else {
        text.weak()
    };
    let room = end - space::NEAR - ui.cursor().left();
    if room > 0.0 {
        let layout = Layout::left_to_right(Align::Center);
        ui.allocate_ui_with_layout(vec2(room, ROW), layout, |ui| ui.add(Label::new(text).truncate()));
    }
}
