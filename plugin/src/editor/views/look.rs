//! How a setup looks, the same in curves, tables and lists: a hue and a pattern of dashes, either of which tells it apart.

use egui::{Response, Sense, Shape, Stroke, Ui, Visuals, vec2};
use egui_plot::LineStyle;

use crate::editor::views::theme;

/// A setup's dashes.
const STYLES: [LineStyle; crate::SETUPS] = [
    LineStyle::Dashed { length: 18.0 },
    LineStyle::Dashed { length: 9.0 },
    LineStyle::Dotted { spacing: 4.5 },
    LineStyle::Dashed { length: 4.5 },
    LineStyle::Dotted { spacing: 8.0 },
    LineStyle::Dotted { spacing: 13.0 },
];

const THIN: f32 = 1.2;
const STRONG: f32 = 2.8;
const SAMPLE_WIDTH: f32 = 34.0;

/// A line's colour, width and dashes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    pub stroke: Stroke,
    pub style: LineStyle,
}

/// Of a setup, counted from zero, or of the take as recorded; strong if it is heard.
pub(crate) fn of(place: Option<usize>, is_heard: bool, visuals: &Visuals) -> Look {
    let colour = place.map_or(visuals.text_color(), |index| theme::colour(index, visuals.dark_mode));
    let style = place.map_or(LineStyle::Solid, |index| STYLES[index % STYLES.len()]);
    let width = if is_heard { STRONG } else { THIN };
    // A dot's radius is the stroke's width: strong dots would touch each other.
    match style {
        LineStyle::Dotted { spacing } if is_heard => Look {
            stroke: Stroke::new(0.75 * width, colour),
            style: LineStyle::Dotted { spacing: 1.4 * spacing },
        },
        _ => Look { stroke: Stroke::new(width, colour), style },
    }
}

/// Draws a short piece of the line.
pub(crate) fn sample(ui: &mut Ui, look: Look) -> Response {
    let (rect, response) = ui.allocate_exact_size(
        vec2(SAMPLE_WIDTH, ui.text_style_height(&egui::TextStyle::Body)),
        Sense::hover(),
    );
    paint(ui, rect, look);
    response
}

/// Draws it across the middle of a rectangle.
pub(crate) fn paint(ui: &Ui, rect: egui::Rect, look: Look) {
    let ends = [rect.left_center(), rect.right_center()];
    let Look { stroke, style } = look;
    match style {
        LineStyle::Solid => {
            ui.painter().line_segment(ends, stroke);
        }
        LineStyle::Dashed { length } => {
            let gap = length * (std::f32::consts::GOLDEN_RATIO - 1.0);
            ui.painter().extend(Shape::dashed_line(&ends, stroke, length, gap));
        }
        LineStyle::Dotted { spacing } => {
            ui.painter().extend(Shape::dotted_line(&ends, stroke.color, spacing, stroke.width));
        }
    }
}
