//! The chain's look: parts that load the pickup in ink, those that do not quiet and dashed.

use egui::text::{LayoutJob, TextWrapping};
use egui::{Align2, Color32, FontId, Rect, Response, Shape, Stroke, StrokeKind, Ui, Vec2};
use firstjack_looks::{space, strokes, text};

use crate::editor::views::schematic::{ADD, Cell, Drawing, Face, UNIT, Value};
use crate::editor::views::symbols::{Pen, outline};
use crate::editor::views::theme;

fn font(ui: &Ui, face: Face) -> FontId {
    match face {
        Face::Value => theme::semibold(ui, text::BODY),
        Face::Name => FontId::proportional(text::SMALL),
        Face::Heard => theme::semibold(ui, text::SMALL),
    }
}

/// How wide a text is, in points.
pub(super) fn measure(ui: &Ui) -> impl Fn(&str, Face) -> f32 + use<> {
    let context = ui.ctx().clone();
    let fonts = [Face::Value, Face::Name, Face::Heard].map(|face| (face, font(ui, face)));
    move |text, face| {
        let font = fonts.iter().find(|(one, _)| *one == face).map(|(_, font)| font.clone());
        let job = LayoutJob::simple_singleline(text.to_owned(), font.unwrap_or_default(), Color32::BLACK);
        context.fonts_mut(|fonts| fonts.layout_job(job)).size().x.ceil()
    }
}

/// Colour and width of what loads the pickup, or does not.
fn stroke(ui: &Ui, loads: bool) -> Stroke {
    let theme = theme::of(ui.visuals());
    Stroke::new(strokes::LINE, theme::colour32(if loads { theme.ink } else { theme.quiet }))
}

/// All symbols.
pub(super) fn marks(ui: &Ui, drawing: &Drawing, origin: Vec2) {
    for mark in &drawing.marks {
        let pen = Pen {
            painter: ui.painter(),
            stroke: stroke(ui, mark.loads),
            paper: theme::colour32(theme::of(ui.visuals()).surface),
            unit: UNIT,
            dashed: !mark.loads,
        };
        pen.draw(mark.symbol, mark.from + origin, mark.to + origin);
    }
}

/// A pickup's or a link's ground, under the pointer or with the focus.
pub(super) fn frame(ui: &Ui, rect: Rect, response: &Response) {
    if response.hovered() {
        let ground = ui.visuals().faint_bg_color;
        ui.painter().rect_filled(rect, space::CONTROL_RADIUS, ground);
    }
    focus(ui, rect, response);
}

/// A ring around what has the focus.
fn focus(ui: &Ui, rect: Rect, response: &Response) {
    if response.has_focus() {
        let ring = ui.visuals().selection.stroke;
        ui.painter().rect_stroke(rect, space::CONTROL_RADIUS, ring, StrokeKind::Outside);
    }
}

/// What is written under values, and whether it is heard here.
pub(super) fn notes(ui: &Ui, cell: &Cell, origin: Vec2, response: &Response) {
    let theme = theme::of(ui.visuals());
    for note in &cell.notes {
        let colour = if note.face == Face::Heard { theme.accent } else { theme.quiet };
        let rect = note.rect.translate(origin);
        if written(ui, &note.text, rect, font(ui, note.face), theme::colour32(colour)) {
            response.clone().on_hover_text(&cell.title);
        }
    }
}

/// A value, lit where it can be caught.
pub(super) fn value(ui: &Ui, value: &Value, rect: Rect, response: &Response) {
    if response.hovered() || response.dragged() {
        let ground = theme::colour32(theme::of(ui.visuals()).wash);
        ui.painter().rect_filled(rect, space::TIGHT, ground);
        ui.ctx().set_cursor_icon(egui::CursorIcon::ResizeVertical);
    }
    written(ui, &value.text, rect, font(ui, Face::Value), stroke(ui, value.loads).color);
    focus(ui, rect, response);
}

/// Where a link can be added.
pub(super) fn tile(ui: &Ui, rect: Rect, response: &Response) {
    let theme = theme::of(ui.visuals());
    let lit = response.hovered() || response.has_focus();
    let [ground, line, ink] =
        if lit { [theme.wash, theme.accent, theme.ink] } else { [theme.surface, theme.outline, theme.quiet] }
            .map(theme::colour32);
    ui.painter().rect_filled(rect, space::CONTROL_RADIUS, ground);
    outline(ui.painter(), rect, Stroke::new(strokes::THIN, line), true);
    written(ui, ADD, rect.shrink(2.0), font(ui, Face::Name), ink);
    focus(ui, rect, response);
}

/// A text in the middle of its room. True if not all of it had room.
fn written(ui: &Ui, text: &str, room: Rect, font: FontId, colour: Color32) -> bool {
    let mut job = LayoutJob::simple_singleline(text.to_owned(), font, colour);
    job.wrap = TextWrapping::truncate_at_width(room.width() + 0.5);
    let galley = ui.painter().layout_job(job);
    let place = Align2::CENTER_CENTER.align_size_within_rect(galley.size(), room);
    let is_elided = galley.elided;
    ui.painter().galley(place.min, galley, colour);
    is_elided
}

/// What is carried, and where it would be put: before the `before`th of its neighbours.
pub(super) fn carried(ui: &Ui, rect: Rect, neighbours: &[Rect], before: usize) {
    let line = ui.visuals().selection.stroke;
    outline(ui.painter(), rect, line, true);
    let x = match (neighbours.get(before), neighbours.last()) {
        (Some(next), _) => next.left() - 4.0,
        (None, Some(last)) => last.right() + 4.0,
        (None, None) => return,
    };
    ui.painter().add(Shape::vline(x, rect.y_range(), Stroke::new(2.0 * line.width, line.color)));
}
