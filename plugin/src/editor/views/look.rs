//! How a setup looks, the same in curves and tables: a colour and a pattern of dashes, either of which tells it apart; what is heard is a
//! strong line in the accent.

use egui::{Color32, FontId, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, vec2};
use firstjack_looks::{Theme, strokes};

use crate::editor::views::theme::{self, colour32};

/// A line's dashes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Dashes {
    /// None.
    Solid,
    /// Of this length, in points.
    Dashed(f32),
    /// Dots so far apart, in points.
    Dotted(f32),
}

/// A setup's.
const DASHES: [Dashes; crate::SETUPS] = [
    Dashes::Dashed(18.0),
    Dashes::Dashed(9.0),
    Dashes::Dotted(4.5),
    Dashes::Dashed(4.5),
    Dashes::Dotted(8.0),
    Dashes::Dotted(13.0),
];

const SAMPLE_WIDTH: f32 = 34.0;

/// A line's colour, width and dashes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    pub stroke: Stroke,
    pub dashes: Dashes,
}

/// Of a setup, counted from zero, or of the take as recorded.
pub(crate) fn of(place: Option<usize>, is_heard: bool, theme: &Theme) -> Look {
    if is_heard {
        return Look { stroke: Stroke::new(strokes::HEARD, colour32(theme.accent)), dashes: Dashes::Solid };
    }
    // The first of the colours is the take's.
    let colour = colour32(theme.curves[place.map_or(0, |index| 1 + index % crate::SETUPS)]);
    let dashes = place.map_or(Dashes::Solid, |index| DASHES[index % DASHES.len()]);
    Look { stroke: Stroke::new(strokes::LINE, colour), dashes }
}

/// The letters of a size in points, semibold or regular.
pub(crate) fn font(ui: &Ui, size: f32, is_strong: bool) -> FontId {
    if is_strong { theme::semibold(ui, size) } else { FontId::proportional(size) }
}

/// Draws a short piece of the line.
pub(crate) fn sample(ui: &mut Ui, look: Look) -> Response {
    let size = vec2(SAMPLE_WIDTH, ui.text_style_height(&egui::TextStyle::Body));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    across(ui.painter(), rect, look);
    response
}

/// Draws it across the middle of a rectangle.
pub(crate) fn across(painter: &Painter, rect: Rect, look: Look) {
    line(painter, &[rect.left_center(), rect.right_center()], look);
}

/// Draws a line through points.
pub(crate) fn line(painter: &Painter, points: &[Pos2], look: Look) {
    let Look { stroke, dashes } = look;
    match dashes {
        Dashes::Solid => {
            painter.line(points.to_vec(), stroke);
        }
        Dashes::Dashed(length) => {
            let gap = length * (std::f32::consts::GOLDEN_RATIO - 1.0);
            painter.extend(Shape::dashed_line(points, stroke, length, gap));
        }
        Dashes::Dotted(apart) => {
            painter.extend(Shape::dotted_line(points, stroke.color, apart, stroke.width));
        }
    }
}

/// The colour of a second pickup's line.
pub(crate) fn pale(colour: Color32) -> Color32 {
    colour.gamma_multiply(PALE)
}

const PALE: f32 = 0.7;
