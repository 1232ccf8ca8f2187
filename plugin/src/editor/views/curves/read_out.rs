//! What each curve is at the cursor, in a list beside it.

use egui::{Align2, Id, LayerId, Order, Painter, Rect, StrokeKind, TextWrapMode, Ui, WidgetText, pos2, vec2};
use firstjack_looks::{space, strokes, text};

use super::frame::Frame;
use super::paint::look_of;
use super::traces::Trace;
use super::{CurvesView, level, name};
use crate::editor::Model;
use crate::editor::views::look;
use crate::editor::views::theme::{self, colour32};

const KEYS: &str = "Arrows: a semitone, with Shift a tenth; up and down: next string.";
const WIDTH: f32 = 232.0;
/// Of one row, in points.
const ROW: f32 = 18.0;
const SAMPLE: f32 = 34.0;
const LEVEL: f32 = 44.0;

impl CurvesView {
    /// Beside the cursor, over all that is there. How to move it, while keys do.
    pub(super) fn read_out(&self, ui: &Ui, model: &Model, frame: &Frame, hz: f64, has_focus: bool) {
        let theme = theme::of(ui.visuals());
        let painter =
            ui.ctx().layer_painter(LayerId::new(Order::Tooltip, Id::unique("read-out of the curves")));
        let keys = has_focus.then(|| {
            painter.layout(
                KEYS.to_owned(),
                look::font(ui, text::SMALL, false),
                colour32(theme.quiet),
                WIDTH - 2.0 * space::NEAR,
            )
        });
        let rows = f32::from(u8::try_from(self.traces.all.len() + 1).unwrap_or(u8::MAX));
        let more = keys.as_ref().map_or(0.0, |keys| keys.size().y + space::TIGHT);
        let size = vec2(WIDTH, rows * ROW + more + 2.0 * space::NEAR);
        let rect = beside(frame, frame.x(hz.log10()), size, ui.ctx().content_rect());
        let edge = (strokes::THIN, colour32(theme.line));
        painter.rect(rect, space::TILE_RADIUS, colour32(theme.surface), edge, StrokeKind::Inside);
        let inner = rect.shrink(space::NEAR);
        let row = |index: u8| {
            let top = inner.top() + f32::from(index) * ROW;
            Rect::from_x_y_ranges(inner.x_range(), top..=top + ROW)
        };
        let title = look::font(ui, text::BODY, true);
        let at = row(0).left_center();
        painter.text(at, Align2::LEFT_CENTER, self.place_of(model), title, colour32(theme.ink));
        for (index, trace) in (1..).zip(&self.traces.all) {
            read_out_row(ui, &painter, model, trace, hz, row(index));
        }
        if let Some(keys) = keys {
            painter.galley(inner.left_bottom() - vec2(0.0, keys.size().y), keys, colour32(theme.quiet));
        }
    }
}

/// On the side of the cursor where there is more room, low, where the curves of losses are not.
fn beside(frame: &Frame, x: f32, size: egui::Vec2, window: Rect) -> Rect {
    let is_left = x > frame.rect.center().x;
    let left = if is_left { x - space::INSIDE - size.x } else { x + space::INSIDE };
    let top = frame.rect.bottom() - space::TIGHT - size.y;
    let rect = Rect::from_min_size(pos2(left, top), size);
    let room = window.shrink(space::TIGHT);
    let back = vec2(
        (room.left() - rect.left()).max(0.0) + (room.right() - rect.right()).min(0.0),
        (room.top() - rect.top()).max(0.0),
    );
    rect.translate(back)
}

fn read_out_row(ui: &Ui, painter: &Painter, model: &Model, trace: &Trace, hz: f64, row: Rect) {
    let (theme, heard) = (theme::of(ui.visuals()), model.document.heard);
    let ink = colour32(theme.ink);
    let font = look::font(ui, text::BODY, trace.place == heard);
    look::across(painter, row.with_max_x(row.left() + SAMPLE), look_of(trace, heard, theme, true));
    painter.text(row.right_center(), Align2::RIGHT_CENTER, level(model, trace, hz), font.clone(), ink);
    let left = row.left() + SAMPLE + space::NEAR;
    let name = WidgetText::from(name(model, trace));
    let name = name.into_galley(ui, Some(TextWrapMode::Truncate), row.right() - LEVEL - left, font);
    painter.galley(pos2(left, row.center().y - 0.5 * name.size().y), name, ink);
}
