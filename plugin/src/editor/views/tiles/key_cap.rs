use egui::{Align2, Painter, Rect, StrokeKind, Ui};
use firstjack_looks::{space, strokes, text};

use crate::editor::views::look;
use crate::editor::views::theme::{self, colour32};

/// The key that hears a setup, as a key looks; filled if that is heard.
pub(in crate::editor::views) fn key_cap(ui: &Ui, painter: &Painter, rect: Rect, key: &str, filled: bool) {
    let theme = theme::of(ui.visuals());
    let (ground, edge, letter) = match filled {
        true => (theme.accent, theme.accent, theme.on_accent),
        false => (theme.surface, theme.line, theme.quiet),
    };
    let edge = (strokes::THIN, colour32(edge));
    painter.rect(rect, space::TIGHT, colour32(ground), edge, StrokeKind::Inside);
    let font = look::font(ui, text::SMALL, filled);
    painter.text(rect.center(), Align2::CENTER_CENTER, key, font, colour32(letter));
}

/// The key that hears a setup, counted from zero, or the take as recorded.
pub(in crate::editor::views) fn key_of(place: Option<usize>) -> String {
    place.map_or(0, |index| index + 1).to_string()
}
