use std::borrow::Cow;

use egui::{
    FontId, Galley, Id, Painter, Pos2, Rect, Response, Role, Sense, StrokeKind, TextWrapMode, Ui, WidgetInfo,
    WidgetText, pos2, vec2,
};
use firstjack_looks::{Colour, space, strokes, text};
use firstjack_words::visible;

use super::{key_cap, key_of};
use crate::editor::views::theme::{self, colour32};
use crate::editor::views::{decibels, look};
use crate::editor::{Document, Model, Readings};

const AS_RECORDED: &str = "as recorded";
const NOT_MATCHED: &str = "not matched yet";

/// What a bar is as long as its track at 0 dB, and has no length at, in dB.
const BAR_DB: f64 = 40.0;
/// From these heights on a tile has room around its bar.
const LOW: f32 = 30.0;
const HIGH: f32 = 40.0;
/// For the sign of a tile's menu.
const MENU_WIDTH: f32 = 20.0;
const DOT: f32 = 1.4;
const DOTS_APART: f32 = 5.0;

/// How long the bars are, in words.
pub(in crate::editor::views) fn bars() -> String {
    format!("Bars: from −{BAR_DB:.0} to 0 dB.")
}

/// What a tile says.
pub(in crate::editor::views) struct Tile<'a> {
    /// A setup, counted from zero, or the take as recorded.
    pub place: Option<usize>,
    /// As it is shown.
    pub name: Cow<'a, str>,
    is_heard: bool,
    /// What is kept at the lowest string, which that is, and in dB.
    kept: Option<(String, f64)>,
    /// What matching does.
    matching: String,
}

/// Where everything stands in a tile.
pub(in crate::editor::views) struct Parts {
    pub cap: Rect,
    pub name: Rect,
    pub bar: Rect,
    pub menu: Rect,
}

impl Parts {
    /// In a rectangle, with a figure of this width.
    pub fn of(rect: Rect, figure: f32) -> Self {
        let (bar, below) = match rect.height() {
            ..LOW => (2.0, 2.0),
            ..HIGH => (3.0, 5.0),
            _ => (4.0, space::NEAR),
        };
        let cap = (rect.height() - bar - below - 2.0).clamp(14.0, 20.0);
        let left = rect.left() + space::NEAR;
        let right = rect.right() - MENU_WIDTH - space::TIGHT;
        let bar_top = rect.bottom() - below - bar;
        let middle = 0.5 * (rect.top() + bar_top);
        let name = left + cap + space::NEAR;
        Self {
            cap: Rect::from_center_size(pos2(left + 0.5 * cap, middle), vec2(cap, cap)),
            name: Rect::from_x_y_ranges(name..=right - figure, middle - 0.5 * cap..=middle + 0.5 * cap),
            bar: Rect::from_x_y_ranges(name..=right, bar_top..=bar_top + bar),
            menu: rect.with_min_x(rect.right() - MENU_WIDTH - 1.0).shrink(1.0),
        }
    }
}

impl<'a> Tile<'a> {
    /// Of a setup, or of the take as recorded.
    pub fn new(model: &'a Model, readings: &Readings, place: Option<usize>) -> Self {
        let setup = place.and_then(|index| model.document.preset.setups.get(index));
        let (figures, of) = (&model.figures, model.figures.of(place));
        let lowest =
            figures.lowest().and_then(|index| figures.strings.get(index).zip(of.losses_db.get(index)));
        Self {
            place,
            name: visible(setup.map_or(AS_RECORDED, |setup| &setup.name)),
            is_heard: model.document.heard == place,
            kept: lowest.map(|(string, loss_db)| (string.to_string(), -loss_db)),
            matching: matching(&model.document, readings, place),
        }
    }

    /// By which a tile is known to the focus.
    pub fn id(place: Option<usize>) -> Id {
        Id::unique(("setup", place))
    }

    /// Room for it, and what is done to it.
    pub fn place(&self, ui: &mut Ui, height: f32) -> Response {
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let sense = if self.place.is_some() { Sense::click_and_drag() } else { Sense::click() };
        let response = ui.interact(rect, Self::id(self.place), sense);
        let said = self.said();
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, self.is_heard, &said));
        response
    }

    /// "tuner, A1 −12.8 dB, turned up 12.3 dB".
    pub fn said(&self) -> String {
        let kept = self.kept.as_ref().map(|(string, db)| format!("{string} {} dB", decibels::signed(*db)));
        let parts = [Some(self.name.to_string()), kept, Some(self.matching.clone())];
        let parts = parts.into_iter().flatten().filter(|part| !part.is_empty());
        parts.collect::<Vec<_>>().join(", ")
    }

    /// Its ground: what is heard is unmistakable, whatever eyes see of its colour; a hollow while it is dragged away.
    pub fn ground(&self, ui: &Ui, response: &Response, is_away: bool) {
        let theme = theme::of(ui.visuals());
        let (rect, painter) = (response.rect, ui.painter());
        if is_away {
            painter.rect_filled(rect, space::TILE_RADIUS, colour32(theme.track));
            return;
        }
        let edge = match (self.is_heard, response.has_focus()) {
            (true, false) => Some((strokes::LINE, theme.accent)),
            (true, true) => Some((strokes::HEARD, theme.accent)),
            (false, true) => Some((strokes::LINE, theme.outline)),
            (false, false) => None,
        };
        if self.is_heard || response.hovered() || response.has_focus() {
            painter.rect_filled(rect, space::TILE_RADIUS, colour32(theme.surface));
        }
        if let Some((width, colour)) = edge {
            painter.rect_stroke(rect, space::TILE_RADIUS, (width, colour32(colour)), StrokeKind::Inside);
        }
    }

    /// Its key, name, figure and bar.
    pub fn paint(&self, ui: &Ui, painter: &Painter, rect: Rect) {
        let theme = theme::of(ui.visuals());
        let kept = self.kept.as_ref().map(|(_, db)| *db);
        let figure = kept.map_or_else(String::new, decibels::signed);
        let figure = self.lay(ui, &figure, f32::INFINITY);
        let parts = Parts::of(rect, figure.size().x + space::NEAR);
        key_cap(ui, painter, parts.cap, &key_of(self.place), self.is_heard);
        let name = self.lay(ui, &self.name, parts.name.width());
        let ink = colour32(theme.ink);
        let on_line = |galley: &Galley, x: f32| Pos2::new(x, parts.cap.center().y - 0.5 * galley.size().y);
        painter.galley(on_line(&name, parts.name.left()), name.clone(), ink);
        painter.galley(on_line(&figure, parts.bar.right() - figure.size().x), figure.clone(), ink);
        let colour = if self.is_heard { theme.accent } else { theme.bar };
        bar(painter, parts.bar, kept.map_or(0.0, length), (theme.track, colour));
    }

    /// The sign of its menu, where it is looked for.
    pub fn paint_menu(&self, ui: &Ui, tile: &Response, button: &Response) {
        let theme = theme::of(ui.visuals());
        if button.hovered() || button.has_focus() {
            ui.painter().rect_filled(button.rect, space::CONTROL_RADIUS, colour32(theme.track));
        }
        if button.has_focus() {
            let ring = (strokes::LINE, colour32(theme.accent));
            ui.painter().rect_stroke(button.rect, space::CONTROL_RADIUS, ring, StrokeKind::Inside);
        }
        if self.is_heard || tile.contains_pointer() || tile.has_focus() || button.has_focus() {
            for up in [-DOTS_APART, 0.0, DOTS_APART] {
                ui.painter().circle_filled(button.rect.center() + vec2(0.0, up), DOT, colour32(theme.quiet));
            }
        }
    }

    /// The field of its name, in place of it.
    pub fn name_rect(&self, rect: Rect) -> Rect {
        Parts::of(rect, 0.0).name
    }

    fn lay(&self, ui: &Ui, text: &str, width: f32) -> std::sync::Arc<Galley> {
        let font: FontId = look::font(ui, text::BODY, self.is_heard);
        WidgetText::from(text).into_galley(ui, Some(TextWrapMode::Truncate), width, font)
    }
}

/// The part of its track that a bar is long.
#[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
fn length(db: f64) -> f32 {
    (1.0 + db / BAR_DB).clamp(0.0, 1.0) as f32
}

fn bar(painter: &Painter, rect: Rect, length: f32, (track, colour): (Colour, Colour)) {
    let radius = 0.5 * rect.height();
    painter.rect_filled(rect, radius, colour32(track));
    let filled = rect.with_max_x(rect.left() + length * rect.width());
    painter.rect_filled(filled, radius, colour32(colour));
}

fn matching(document: &Document, readings: &Readings, place: Option<usize>) -> String {
    match place.filter(|_| document.level_match) {
        None => String::new(),
        Some(index) => match readings.matching_db.get(index).copied().flatten() {
            Some(db) if readings.learned_seconds == 0.0 => format!("{}, a guess", turned(db)),
            Some(db) => turned(db),
            None => NOT_MATCHED.to_owned(),
        },
    }
}

/// "turned up 27.3 dB".
fn turned(db: f64) -> String {
    let way = if db < 0.0 { "down" } else { "up" };
    format!("turned {way} {:.1} dB", db.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_is_as_long_as_what_is_kept() {
        let lengths = [-50.0, -40.0, -30.0, -10.0, 0.0, 3.0, f64::NEG_INFINITY].map(length);
        assert_eq!(lengths, [0.0, 0.0, 0.25, 0.75, 1.0, 1.0, 0.0]);
    }

    #[test]
    fn a_gain_says_which_way() {
        assert_eq!([27.34, -0.1].map(turned), ["turned up 27.3 dB", "turned down 0.1 dB"]);
    }
}
