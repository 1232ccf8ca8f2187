//! The curves of all setups, and what they are at a cursor.

mod axis;
mod cursor;
mod frame;
mod labels;
mod paint;
mod read_out;
mod traces;

use egui::{Align, Color32, Layout, RichText, Sense, Ui, UiBuilder};
use firstjack_looks::{space, text};
use firstjack_words::visible;

use crate::editor::views::blind_view::HIDDEN;
use crate::editor::views::{decibels, look};
use crate::editor::{CurveKind, Message, Model, Readings};
use frame::Frame;
use traces::{Trace, Traces, level_db};

const LOSS: &str = "loss";
const LOSS_HELP: &str = "Each setup against the unloaded pickup.";
const CHANGE: &str = "change from the recording";
const CHANGE_HELP: &str = "What is done to the take, without the level match.";
const AS_RECORDED: &str = "as recorded";

/// The curves of all setups, and what they are at a cursor.
#[derive(Debug, Default)]
pub struct CurvesView {
    traces: Traces,
    /// Where the reader has put the cursor, in Hz; at the lowest string if nowhere.
    cursor_hz: Option<f64>,
    /// Where the pointer is, in Hz.
    pointer_hz: Option<f64>,
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
        ui.advance_cursor_after_rect(whole);
        let frame = Frame {
            rect: axis::inside(ui, whole),
            low_hz: self.traces.low_hz,
            range_db: self.traces.range_db,
        };
        if !frame.rect.is_positive() {
            return;
        }
        let response = ui.interact(frame.rect, ui.scope_id().with("curves"), Sense::click_and_drag());
        self.move_cursor(ui, model, &response, &frame);
        let read_hz = self.is_read(&response).then(|| self.hz(model));
        self.paint(ui, model, &frame, read_hz);
        if let Some(hz) = read_hz {
            self.read_out(ui, model, &frame, hz, response.has_focus());
        }
    }
}

/// Which curves are drawn: at the right of what stands above, if there is room.
fn choose(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    let kinds = [(CurveKind::Loss, LOSS, LOSS_HELP), (CurveKind::Change, CHANGE, CHANGE_HELP)];
    let mut show = |ui: &mut Ui, (kind, text, help)| {
        let text = RichText::new(text).size(text::SMALL);
        if ui.selectable_label(model.curves == kind, text).on_hover_text(help).clicked() {
            out.push(Message::Curves(kind));
        }
    };
    let (whole, above) = (ui.max_rect(), ui.min_rect());
    let row = whole.with_min_x(above.right() + space::INSIDE).with_max_y(above.bottom());
    if row.height() > 0.0 && row.width() >= width(ui) {
        let row = UiBuilder::new().max_rect(row).layout(Layout::right_to_left(Align::Center));
        let mut row = ui.new_child(row);
        kinds.into_iter().rev().for_each(|kind| show(&mut row, kind));
    } else {
        ui.horizontal_wrapped(|ui| kinds.into_iter().for_each(|kind| show(ui, kind)));
    }
}

/// Of both choices, in points.
fn width(ui: &Ui) -> f32 {
    let spacing = ui.spacing();
    let words = [LOSS, CHANGE].map(|words| {
        let font = look::font(ui, text::SMALL, false);
        ui.painter().layout_no_wrap(words.to_owned(), font, Color32::PLACEHOLDER).size().x
    });
    words.iter().sum::<f32>() + 4.0 * spacing.button_padding.x + spacing.item_spacing.x
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
