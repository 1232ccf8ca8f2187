use egui::{Align, Label, Layout, Rect, RichText, Ui, UiBuilder, pos2, vec2};
use firstjack_looks::space;

use crate::editor::views::{Alarms, LevelsView, Meters};
use crate::editor::{Allowance, Message, Model, Readings};

const TRACKS: &str = "left: first pickup; right: second";
const MONO: &str = "mono: only the first pickup is heard";
/// From this width on everything stands in one row.
const WIDE: f32 = 1600.0;
/// And from this one on meters are long.
const LONG: f32 = 960.0;
/// Parts of the rest for what noise allows, where tracks are told beside it.
const ALLOWANCE: f32 = 0.6;
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

    /// What noise allows, and which track is which, up to this place.
    fn rest(&self, ui: &mut Ui, model: &Model, readings: &Readings, end: f32, out: &mut Vec<Message>) {
        let room = end - space::NEAR - ui.cursor().left();
        let part = if model.document.preset.pickups.count() < 2 { 1.0 } else { ALLOWANCE };
        if room > 0.0 && readings.allowance != Allowance::None {
            let layout = Layout::left_to_right(Align::Center);
            ui.allocate_ui_with_layout(vec2(part * room, ROW), layout, |ui| {
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

/// Which track is which, up to this place.
fn tracks(ui: &mut Ui, model: &Model, readings: &Readings, end: f32) {
    if model.document.preset.pickups.count() < 2 {
        return;
    }
    let lacks = readings.lacks_second_track(&model.document);
    let text = RichText::new(if lacks { MONO } else { TRACKS }).small();
    let text = if lacks { text.color(ui.visuals().warn_fg_color) } else { text.weak() };
    let room = end - space::NEAR - ui.cursor().left();
    if room > 0.0 {
        let layout = Layout::left_to_right(Align::Center);
        ui.allocate_ui_with_layout(vec2(room, ROW), layout, |ui| ui.add(Label::new(text).truncate()));
    }
}
