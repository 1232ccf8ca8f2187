use egui::{Rect, Response, Role, Sense, StrokeKind, TextWrapMode, Ui, WidgetInfo, WidgetText, pos2, vec2};
use firstjack_looks::{space, strokes, text};

use super::{Parts, key_cap};
use crate::editor::views::look;
use crate::editor::views::theme::{self, colour32};

/// Something below the tiles that is done by a click, with its key or sign; quiet, since it is no setup.
pub(in crate::editor::views) fn row(ui: &mut Ui, height: f32, key: &str, name: &str, help: &str) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let theme = theme::of(ui.visuals());
    let painter = ui.painter();
    if response.hovered() {
        painter.rect_filled(rect, space::TILE_RADIUS, colour32(theme.surface));
    }
    if response.has_focus() {
        let ring = (strokes::LINE, colour32(theme.accent));
        painter.rect_stroke(rect, space::TILE_RADIUS, ring, StrokeKind::Inside);
    }
    let parts = Parts::of(rect, 0.0);
    let cap = Rect::from_center_size(pos2(parts.cap.center().x, rect.center().y), parts.cap.size());
    key_cap(ui, painter, cap, key, false);
    let words = WidgetText::from(name).color(colour32(theme.quiet));
    let width = parts.bar.right() - parts.bar.left();
    let words = words.into_galley(ui, Some(TextWrapMode::Truncate), width, look::font(ui, text::BODY, false));
    let is_elided = words.elided;
    let at = pos2(parts.bar.left(), rect.center().y - 0.5 * words.size().y);
    painter.galley(at, words, colour32(theme.quiet));
    match is_elided {
        true => response.on_hover_text(format!("{name}\n{help}")),
        false => response.on_hover_text(help),
    }
}
