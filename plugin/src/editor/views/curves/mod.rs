//! The curves of all setups, and what they are at a cursor.

mod axis;
mod cursor;
mod plot;
mod read_out;
mod traces;

use egui::{Align, Color32, Layout, Rect, RichText, ScrollArea, Ui, UiBuilder, Visuals};
use firstjack_words::visible;

use crate::editor::views::blind_view::HIDDEN;
use crate::editor::views::look::Look;
use crate::editor::views::{decibels, look};
use crate::editor::{CurveKind, Message, Model, Readings};
use traces::{Trace, Traces, level_db};

const LOSS: &str = "level";
const LOSS_HELP: &str = "Each setup against the unloaded pickup.";
const CHANGE: &str = "change to the take";
const CHANGE_HELP: &str = "What is done to the take, without the level match.";
const AXES: &str = "dB over Hz";
const AS_RECORDED: &str = "as recorded";

/// Side by side with the read-out from this width on, in points.
const WIDE: f32 = 540.0;
/// Side by side, too, where both would be too low one above the other.
const LOW: f32 = 300.0;
const READ_OUT_WIDTH: f32 = 228.0;
/// Of one row of the read-out.
const ROW: f32 = 18.0;
const LEAST_HEIGHT: f32 = 90.0;
const PALE: f32 = 0.7;

/// The curves of all setups, and what they are at a cursor.
#[derive(Debug, Default)]
pub struct CurvesView {
    traces: Traces,
    /// Where the reader has put the cursor, in Hz; at the lowest string if nowhere.
    cursor_hz: Option<f64>,
    /// Where the pointer is, in Hz.
    pointer_hz: Option<f64>,
    mark_rows: usize,
}

impl CurvesView {
    /// Draws them; nothing but a note while names are hidden.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        hide: bool,
        out: &mut Vec<Message>,
    ) {
        if hide {
            ui.label(HIDDEN);
            return;
        }
        choose(ui, model, out);
        self.traces.update(model, readings);
        let whole = ui.available_rect_before_wrap();
        let rows = self.traces.all.len();
        let (plot, read_out) = split(whole, rows);
        self.draw_plot(ui, plot, model);
        let child = UiBuilder::new().max_rect(read_out).layout(Layout::top_down(Align::Min));
        ui.scope_builder(child, |ui| {
            ScrollArea::vertical().id_salt("read-out").show(ui, |ui| self.read_out(ui, model));
        });
        ui.advance_cursor_after_rect(whole);
    }
}

fn choose(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    ui.horizontal_wrapped(|ui| {
        let kinds = [(CurveKind::Loss, LOSS, LOSS_HELP), (CurveKind::Change, CHANGE, CHANGE_HELP)];
        for (kind, text, help) in kinds {
            if ui.selectable_label(model.curves == kind, text).on_hover_text(help).clicked() {
                out.push(Message::Curves(kind));
            }
        }
        ui.label(RichText::new(AXES).weak());
    });
}

/// Into the plot and the read-out beside it, or below it in a narrow and high place.
fn split(whole: Rect, rows: usize) -> (Rect, Rect) {
    let rows = f32::from(u8::try_from(rows + 1).unwrap_or(u8::MAX));
    if whole.width() >= WIDE || whole.height() < LOW {
        let width = READ_OUT_WIDTH.min(0.42 * whole.width());
        let (plot, read_out) = whole.split_left_right_at_x(whole.right() - width);
        return (plot, read_out.with_min_x(read_out.left() + 8.0));
    }
    let height = (rows * ROW).min(0.45 * whole.height());
    let plot_height = (whole.height() - height).max(LEAST_HEIGHT);
    whole.split_top_bottom_at_y(whole.top() + plot_height)
}

/// The second pickup's curve is a paler one.
fn look_of(trace: &Trace, heard: Option<usize>, visuals: &Visuals) -> Look {
    let mut look = look::of(trace.place, trace.place == heard, visuals);
    if trace.pickup > 0 {
        look.stroke.color = pale(look.stroke.color);
    }
    look
}

/// The colour of a second pickup's curve.
pub(super) fn pale(colour: Color32) -> Color32 {
    colour.gamma_multiply(PALE)
}

fn name(model: &Model, trace: &Trace) -> String {
    let setup = trace.place.and_then(|index| model.document.preset.setups.get(index));
    let name = visible(setup.map_or(AS_RECORDED, |setup| &setup.name));
    match (model.curves, model.document.preset.pickups.count()) {
        (CurveKind::Change, 2..) => format!("{name}, pickup {}", trace.pickup + 1),
        _ => name.into_owned(),
    }
}

fn level(model: &Model, trace: &Trace, hz: f64) -> String {
    let figures = model.figures.of(trace.place);
    decibels::signed(level_db(figures, model.curves, trace.pickup, hz))
}
