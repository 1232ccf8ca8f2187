//! The cursor at which curves are read: moved by the pointer or by keys, and told to those who do not see it.

use egui::{EventFilter, Key, Modifiers, Response, StrokeKind, Ui, WidgetInfo};
use firstjack_looks::{space, strokes};

use super::frame::Frame;
use super::traces::{BAND_HZ, Trace};
use super::{CurvesView, level, name};
use crate::editor::Model;
use crate::editor::views::theme::{self, colour32};

const CURSOR: &str = "frequency of the cursor in Hz";

/// A step of the cursor, and a fine one, in octaves: a semitone and its tenth.
const STEP_OCTAVES: f64 = 1.0 / 12.0;
const FINE_OCTAVES: f64 = 1.0 / 120.0;
/// So close to a string's pitch, as a factor, the cursor is on it.
const ON_STRING: f64 = 1.003;

impl CurvesView {
    /// Where the read-out is taken, in Hz.
    pub(super) fn hz(&self, model: &Model) -> f64 {
        let low_hz = self.traces.low_hz;
        let lowest = model.figures.strings_hz.iter().copied().reduce(f64::min).unwrap_or(low_hz);
        self.pointer_hz.or(self.cursor_hz).unwrap_or(lowest).clamp(low_hz, BAND_HZ.1)
    }

    /// Whether curves are read at it: then it is shown.
    pub(super) fn is_read(&self, response: &Response) -> bool {
        self.pointer_hz.is_some() || self.cursor_hz.is_some() || response.has_focus()
    }

    pub(super) fn move_cursor(&mut self, ui: &Ui, model: &Model, response: &Response, frame: &Frame) {
        let at = |position| frame.hz(position);
        self.pointer_hz = response.hover_pos().map(at);
        if response.clicked() || response.dragged() {
            response.request_focus();
            self.cursor_hz = response.interact_pointer_pos().map(at).or(self.cursor_hz);
        }
        if response.double_clicked() {
            self.cursor_hz = None;
        }
        if response.has_focus() {
            self.take_keys(ui, model, response);
            let ring = (strokes::LINE, colour32(theme::of(ui.visuals()).accent));
            ui.painter().rect_stroke(frame.rect.expand(2.0), space::TIGHT, ring, StrokeKind::Outside);
        }
        let (hz, text) = (self.hz(model), self.said(model));
        response.widget_info(|| {
            let mut info = WidgetInfo::slider(true, hz, CURSOR);
            info.current_text_value = Some(text.clone());
            info
        });
    }

    fn take_keys(&mut self, ui: &Ui, model: &Model, response: &Response) {
        let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
        let hz = self.hz(model);
        let factor = |key, modifiers| {
            let pressed = ui.input_mut(|input| input.count_and_consume_key(modifiers, key));
            i32::try_from(pressed).unwrap_or(0)
        };
        // The one with Shift first: the other would take it too.
        let fine = factor(Key::ArrowRight, Modifiers::SHIFT) - factor(Key::ArrowLeft, Modifiers::SHIFT);
        let steps = factor(Key::ArrowRight, Modifiers::NONE) - factor(Key::ArrowLeft, Modifiers::NONE);
        let strings = factor(Key::ArrowUp, Modifiers::NONE) - factor(Key::ArrowDown, Modifiers::NONE);
        if (fine, steps, strings) == (0, 0, 0) {
            return;
        }
        let hz = hz * (f64::from(steps) * STEP_OCTAVES + f64::from(fine) * FINE_OCTAVES).exp2();
        let hz = if strings == 0 { hz } else { next_string(&model.figures.strings_hz, hz, strings > 0) };
        self.cursor_hz = Some(hz.clamp(self.traces.low_hz, BAND_HZ.1));
        self.pointer_hz = None;
    }

    /// "55.0 Hz (A1)".
    pub(super) fn place_of(&self, model: &Model) -> String {
        let hz = self.hz(model);
        let mut strings = model.figures.strings.iter().zip(&model.figures.strings_hz);
        let string = strings.find(|(_, at)| (1.0 / ON_STRING..ON_STRING).contains(&(hz / **at)));
        string.map_or_else(|| frequency(hz), |(string, _)| format!("{} ({string})", frequency(hz)))
    }

    /// "110 Hz: tuner −7.5 dB, ..."
    fn said(&self, model: &Model) -> String {
        let hz = self.hz(model);
        let one = |trace: &Trace| format!("{} {} dB", name(model, trace), level(model, trace, hz));
        let all: Vec<String> = self.traces.all.iter().map(one).collect();
        format!("{}: {}", self.place_of(model), all.join(", "))
    }
}

/// To three figures: "110 Hz", "2.51 kHz".
fn frequency(hz: f64) -> String {
    match hz {
        ..99.95 => format!("{hz:.1} Hz"),
        ..999.5 => format!("{hz:.0} Hz"),
        ..9995.0 => format!("{:.2} kHz", hz / 1e3),
        _ => format!("{:.1} kHz", hz / 1e3),
    }
}

/// The next pitch of a string above or below, or where it is.
fn next_string(strings_hz: &[f64], hz: f64, up: bool) -> f64 {
    let beyond = strings_hz.iter().copied();
    let next = if up {
        beyond.filter(|at| *at > hz * ON_STRING).reduce(f64::min)
    } else {
        beyond.filter(|at| *at < hz / ON_STRING).reduce(f64::max)
    };
    next.unwrap_or(hz)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cursor_walks_from_string_to_string() {
        let strings_hz = [98.0, 55.0, 73.4];
        assert_eq!(next_string(&strings_hz, 55.0, true), 73.4);
        assert_eq!(next_string(&strings_hz, 80.0, true), 98.0);
        assert_eq!(next_string(&strings_hz, 98.0, true), 98.0);
        assert_eq!(next_string(&strings_hz, 98.0, false), 73.4);
    }

    #[test]
    fn frequencies_have_three_figures() {
        assert_eq!(
            [55.0, 110.0, 2512.0, 12_345.0].map(frequency),
            ["55.0 Hz", "110 Hz", "2.51 kHz", "12.3 kHz"]
        );
    }
}
