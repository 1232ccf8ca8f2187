//! The chain's look: parts that load the pickup in full strength, those that do not thin and dashed.

use egui::text::{LayoutJob, TextWrapping};
use egui::{Align2, Color32, FontId, Rect, Response, Stroke, StrokeKind, Ui, Vec2, pos2, vec2};

use crate::editor::views::schematic::{Cell, Drawing, LINE, TITLE, UNIT, Value};
use crate::editor::views::symbols::{Pen, outline};

const LISTENED_TO: &str = "listened to";
const TEXT: f32 = 12.5;
const SMALL: f32 = 11.5;
/// Room for "listened to", and for a language that needs more, in points.
const WIDEST_TAG: f32 = 96.0;

/// Colour and width of what loads the pickup, or does not.
fn stroke(ui: &Ui, loads: bool) -> Stroke {
    if loads {
        Stroke::new(1.6, ui.visuals().strong_text_color())
    } else {
        Stroke::new(1.0, ui.visuals().text_color())
    }
}

/// All symbols.
pub(super) fn marks(ui: &Ui, drawing: &Drawing, origin: Vec2) {
    for mark in &drawing.marks {
        let pen = Pen {
            painter: ui.painter(),
            stroke: stroke(ui, mark.loads),
            paper: ui.visuals().panel_fill,
            unit: UNIT,
            dashed: !mark.loads,
        };
        pen.draw(mark.symbol, mark.from + origin, mark.to + origin);
    }
}

/// A box's frame; that of other links shows only under the pointer or with the focus.
pub(super) fn frame(ui: &Ui, cell: &Cell, rect: Rect, response: &Response) {
    if response.hovered() {
        ui.painter().rect_filled(rect, 4.0, ui.visuals().faint_bg_color);
    }
    if cell.outlined {
        let line = Stroke::new(if cell.heard { 2.0 } else { 1.0 }, ui.visuals().text_color());
        outline(ui.painter(), rect, line, !cell.loads);
    }
    focus(ui, rect, response);
}

/// A ring around what has the focus.
fn focus(ui: &Ui, rect: Rect, response: &Response) {
    if response.has_focus() {
        let ring = Stroke::new(2.0, ui.visuals().selection.stroke.color);
        ui.painter().rect_stroke(rect.expand(1.0), 4.0, ring, StrokeKind::Outside);
    }
}

/// A cell's name, and whether it is listened to.
pub(super) fn title(ui: &Ui, cell: &Cell, rect: Rect, response: &Response) {
    let colour = stroke(ui, cell.loads).color;
    let room = Rect::from_min_size(rect.min + vec2(2.0, 1.0), vec2(rect.width() - 4.0, TITLE));
    if elided(ui, &cell.title, room, TEXT, colour) {
        response.clone().on_hover_text(&cell.title);
    }
    if cell.heard {
        let size = vec2((rect.width() - 8.0).min(WIDEST_TAG), LINE);
        let strip = Rect::from_center_size(pos2(rect.center().x, rect.bottom() - 3.0 - LINE / 2.0), size);
        ui.painter().rect_filled(strip, 3.0, ui.visuals().strong_text_color());
        elided(ui, LISTENED_TO, strip, SMALL, ui.visuals().panel_fill);
    }
}

/// A value, lit where it can be caught.
pub(super) fn value(ui: &Ui, value: &Value, rect: Rect, response: &Response) {
    if response.hovered() || response.dragged() {
        ui.painter().rect_filled(rect, 3.0, ui.visuals().widgets.hovered.weak_bg_fill);
        ui.ctx().set_cursor_icon(egui::CursorIcon::ResizeVertical);
    }
    elided(ui, &value.text, rect, TEXT, stroke(ui, value.loads).color);
    focus(ui, rect, response);
}

/// A text in the middle of its room. True if not all of it had room.
fn elided(ui: &Ui, text: &str, room: Rect, size: f32, colour: Color32) -> bool {
    let mut job = LayoutJob::simple_singleline(text.to_owned(), FontId::proportional(size), colour);
    job.wrap = TextWrapping::truncate_at_width(room.width());
    let galley = ui.painter().layout_job(job);
    let place = Align2::CENTER_CENTER.align_size_within_rect(galley.size(), room);
    let is_elided = galley.elided;
    ui.painter().galley(place.min, galley, colour);
    is_elided
}

/// What is carried, and where it would be put: before the `before`th of its neighbours.
pub(super) fn carried(ui: &Ui, rect: Rect, neighbours: &[Rect], before: usize) {
    let line = Stroke::new(2.0, ui.visuals().selection.stroke.color);
    outline(ui.painter(), rect.expand(2.0), line, true);
    let x = match (neighbours.get(before), neighbours.last()) {
        (Some(next), _) => next.left() - 4.0,
        (None, Some(last)) => last.right() + 4.0,
        (None, None) => return,
    };
    ui.painter().vline(x, rect.y_range(), Stroke::new(4.0, line.color));
}
