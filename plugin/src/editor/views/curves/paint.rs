//! What is drawn: the heard curve and its strings over the others, the live spectrum and the grid.

use egui::{Color32, Mesh, Painter, Pos2, Shape, Ui, WidgetText, pos2, vec2};
use firstjack_looks::{Theme, strokes, text};

use super::frame::Frame;
use super::labels::{Path, Taken, by_mark, on_line};
use super::traces::Trace;
use super::{CurvesView, axis, level, name};
use crate::editor::views::look::{self, Dashes, Look};
use crate::editor::views::theme::{self, colour32};
use crate::editor::{CurveKind, Model};

/// The spectrum's level at the bottom of the plot, in dB re full scale, which is at its top.
const QUIETEST_DB: f64 = -96.0;
const SPECTRUM_OPACITY: f32 = 0.07;
const BAND_OPACITY: f32 = 0.22;
/// Of a string's cross, from its middle, in points.
const ARM: f32 = 6.0;
const FLOOR: &str = "boost floor";
const DOTS_APART: f32 = 4.0;
const DOT: f32 = 0.7;
/// Of what the cursor meets, in points.
const MET: f32 = 3.0;
/// The longest name that stands on a line, in points.
const LONGEST_NAME: f32 = 140.0;

/// A curve, and where it is.
struct Drawn<'a> {
    trace: &'a Trace,
    path: Path,
}

impl CurvesView {
    /// With every curve in a look of its own, and a cursor there, if it is read.
    pub(super) fn paint(&self, ui: &Ui, model: &Model, frame: &Frame, read_hz: Option<f64>) {
        let theme = theme::of(ui.visuals());
        // Lines at the edges are seen whole.
        let painter =
            ui.painter().with_clip_rect(frame.rect.expand(strokes::HEARD).intersect(ui.clip_rect()));
        let drawn = |trace| Drawn { trace, path: path(frame, trace) };
        let heard = model.document.heard;
        let (strong, quiet): (Vec<_>, Vec<_>) =
            self.traces.all.iter().map(drawn).partition(|drawn| drawn.trace.place == heard);
        let first = strong.first();
        if let Some(first) = first {
            painter.add(to_zero(frame, &first.path, colour32(theme.area)));
        }
        self.spectrum(&painter, frame, colour32(theme.ink).gamma_multiply(SPECTRUM_OPACITY));
        axis::grid(ui, &painter, frame);
        let floor = model.figures.of(heard).floor.filter(|_| model.curves == CurveKind::Change);
        let mut taken = Taken::default();
        if let Some(floor) = floor {
            floor_mark(ui, &painter, frame, floor.hz, &mut taken);
        }
        self.band(&painter, frame, colour32(theme.accent).gamma_multiply(BAND_OPACITY));
        for drawn in &quiet {
            look::line(&painter, &drawn.path.0, look_of(drawn.trace, heard, theme, read_hz.is_some()));
        }
        let figures = first.map(|first| strings(ui, model, frame, first, &mut taken)).unwrap_or_default();
        names(ui, &painter, model, frame, (&strong, &quiet), &mut taken);
        for drawn in strong.iter().rev() {
            look::line(&painter, &drawn.path.0, look_of(drawn.trace, heard, theme, false));
        }
        painter.extend(figures);
        if let Some(hz) = read_hz {
            cursor(&painter, frame, hz, strong.iter().chain(&quiet), theme, heard);
        }
        axis::numbers(ui, ui.painter(), frame);
    }

    fn spectrum(&self, painter: &Painter, frame: &Frame, colour: Color32) {
        let (low, high) = frame.range_db;
        let height = |db: &f64| high + (low - high) * (db / QUIETEST_DB).clamp(0.0, 1.0);
        let levels = self.traces.spectrum_x.iter().zip(&self.traces.spectrum_db);
        let upper: Vec<Pos2> = levels.map(|(x, db)| frame.at((*x, height(db)))).collect();
        let lower = upper.iter().map(|at| pos2(at.x, frame.rect.bottom()));
        painter.add(strip(upper.iter().copied().zip(lower), colour));
    }

    /// What tolerances leave open.
    fn band(&self, painter: &Painter, frame: &Frame, colour: Color32) {
        let band = &self.traces.band;
        let edge = |levels: &[f64]| -> Vec<Pos2> {
            band.x.iter().zip(levels).map(|(x, db)| within(frame, frame.at((*x, *db)))).collect()
        };
        painter.add(strip(edge(&band.upper).into_iter().zip(edge(&band.lower)), colour));
    }
}

/// How a curve is drawn: one that is not heard is quiet unless curves are compared.
pub(super) fn look_of(trace: &Trace, heard: Option<usize>, theme: &Theme, is_read: bool) -> Look {
    let is_heard = trace.place == heard;
    let mut look = look::of(trace.place, is_heard, theme);
    if !is_heard && !is_read {
        look.stroke.color = colour32(theme.quiet_curve);
        look.dashes = Dashes::Solid;
    }
    if trace.pickup > 0 {
        look.stroke.color = look::pale(look.stroke.color);
    }
    look
}

/// Where what is heard comes down again.
fn floor_mark(ui: &Ui, painter: &Painter, frame: &Frame, hz: f64, taken: &mut Taken) {
    let colour = colour32(theme::of(ui.visuals()).quiet);
    let x = frame.x(hz.log10());
    if x < frame.rect.left() {
        return;
    }
    let line = [pos2(x, frame.rect.top()), pos2(x, frame.rect.bottom())];
    painter.extend(Shape::dotted_line(&line, colour, DOTS_APART, DOT));
    let font = look::font(ui, text::SMALL, false);
    let galley = painter.layout_no_wrap(FLOOR.to_owned(), font, colour);
    let at = pos2(x + 2.0 * ARM, frame.rect.bottom() - galley.size().y - ARM);
    if taken.take(egui::Rect::from_min_size(at, galley.size())) {
        painter.galley(at, galley, colour);
    }
}

fn path(frame: &Frame, trace: &Trace) -> Path {
    Path(trace.points.iter().map(|point| frame.at(*point)).collect())
}

fn within(frame: &Frame, at: Pos2) -> Pos2 {
    pos2(at.x, at.y.clamp(frame.rect.top(), frame.rect.bottom()))
}

fn to_zero(frame: &Frame, path: &Path, colour: Color32) -> Mesh {
    let zero = frame.zero();
    strip(path.0.iter().map(|at| (within(frame, *at), pos2(at.x, zero))), colour)
}

/// What lies between two lines.
fn strip(pairs: impl Iterator<Item = (Pos2, Pos2)>, colour: Color32) -> Mesh {
    let mut mesh = Mesh::default();
    for (index, (one, other)) in (0u32..).zip(pairs) {
        mesh.colored_vertex(one, colour);
        mesh.colored_vertex(other, colour);
        if let Some(before) = index.checked_sub(1) {
            let (before, now) = (2 * before, 2 * index);
            mesh.add_triangle(before, before + 1, now);
            mesh.add_triangle(now, before + 1, now + 1);
        }
    }
    mesh
}

/// The strings on the heard curve: marks that nobody would try to drag, their way down from 0 dB, and their figures.
fn strings(ui: &Ui, model: &Model, frame: &Frame, heard: &Drawn<'_>, taken: &mut Taken) -> Vec<Shape> {
    let theme = theme::of(ui.visuals());
    let (ink, font) = (colour32(theme.ink), look::font(ui, text::SMALL, true));
    let mut strings: Vec<_> = model.figures.strings.iter().zip(&model.figures.strings_hz).collect();
    strings.sort_by(|one, other| one.1.total_cmp(other.1));
    let place = |hz: f64| pos2(frame.x(hz.log10()), heard.path.y(frame.x(hz.log10())));
    let seen: Vec<_> = strings
        .into_iter()
        .map(|(string, hz)| (string, *hz, place(*hz)))
        .filter(|(_, _, at)| frame.rect.expand(1.0).contains(*at))
        .collect();
    let mut shapes = Vec::new();
    for (_, _, at) in &seen {
        let drop = [pos2(at.x, frame.zero()), *at];
        shapes.extend(Shape::dotted_line(&drop, colour32(theme.accent), DOTS_APART, DOT));
        let cross = [vec2(ARM, 0.0), vec2(0.0, ARM)];
        shapes.extend(cross.map(|arm| Shape::line_segment([*at - arm, *at + arm], (strokes::LINE, ink))));
        taken.mark(egui::Rect::from_two_pos(drop[0], *at).expand2(vec2(1.0, 0.0)));
        taken.mark(egui::Rect::from_center_size(*at, vec2(ARM, ARM)));
    }
    for (string, hz, at) in seen {
        let text = format!("{string} {}", level(model, heard.trace, hz));
        let galley = ui.painter().layout_no_wrap(text, font.clone(), ink);
        if let Some(place) = by_mark(galley.size(), at, &heard.path, frame.rect, taken)
            && taken.take(place)
        {
            shapes.push(Shape::galley(place.min, galley, ink));
        }
    }
    shapes
}

/// Names of curves that are not heard, as far as they find a place.
fn names(
    ui: &Ui,
    painter: &Painter,
    model: &Model,
    frame: &Frame,
    (strong, quiet): (&[Drawn<'_>], &[Drawn<'_>]),
    taken: &mut Taken,
) {
    let colour = colour32(theme::of(ui.visuals()).quiet);
    for (index, drawn) in quiet.iter().enumerate() {
        let text = WidgetText::from(name(model, drawn.trace));
        let font = look::font(ui, text::SMALL, false);
        let galley = text.into_galley(ui, Some(egui::TextWrapMode::Extend), f32::INFINITY, font);
        if galley.size().x > LONGEST_NAME {
            continue;
        }
        let others = quiet.iter().enumerate().filter(|(other, _)| *other != index).map(|(_, other)| other);
        let others: Vec<&Path> = others.chain(strong).map(|other| &other.path).collect();
        if let Some(place) = on_line(galley.size(), &drawn.path, &others, frame.rect, taken)
            && taken.take(place)
        {
            painter.galley(place.min, galley, colour);
        }
    }
}

fn cursor<'a>(
    painter: &Painter,
    frame: &Frame,
    hz: f64,
    all: impl Iterator<Item = &'a Drawn<'a>>,
    theme: &Theme,
    heard: Option<usize>,
) {
    let x = frame.x(hz.log10());
    painter.vline(x, frame.rect.y_range(), (strokes::THIN, colour32(theme.ink)));
    for drawn in all {
        let colour = look_of(drawn.trace, heard, theme, true).stroke.color;
        painter.circle_filled(pos2(x, drawn.path.y(x)), MET, colour);
    }
}
