//! The axes: lines where there is a number, and the numbers.

use egui::{Align2, Painter, Rect, Ui, pos2, vec2};
use firstjack_looks::{space, strokes, text};

use super::frame::Frame;
use super::labels::Taken;
use crate::editor::views::look;
use crate::editor::views::theme::{self, colour32};

/// Frequencies with a number: in a narrow plot the first ones keep theirs. The lowest that is seen has the unit.
const NUMBERED_HZ: [(f64, &str); 11] = [
    (10.0, "10"),
    (20e3, "20k"),
    (20.0, "20"),
    (100.0, "100"),
    (1e3, "1k"),
    (10e3, "10k"),
    (200.0, "200"),
    (2e3, "2k"),
    (50.0, "50"),
    (500.0, "500"),
    (5e3, "5k"),
];

/// From one level's line to the next, in dB: the first for which there is room, in points.
const STEPS_DB: [f64; 4] = [5.0, 10.0, 20.0, 50.0];
const STEP: f32 = 36.0;
const WIDEST: &str = "−90";
const ZERO: &str = "0 dB";
const LOWEST: &str = "20 Hz";

/// What is left of a place for the plot once the numbers have theirs.
pub(super) fn inside(ui: &Ui, whole: Rect) -> Rect {
    let font = look::font(ui, text::SMALL, false);
    let size = |words: &str| {
        ui.painter().layout_no_wrap(words.to_owned(), font.clone(), egui::Color32::PLACEHOLDER).size()
    };
    let left = size(ZERO).x.max(size(WIDEST).x).max(0.5 * size(LOWEST).x) + space::NEAR;
    let right = 0.5 * size(NUMBERED_HZ[1].1).x + 1.0;
    let (above, below) = (0.5 * size(ZERO).y, size(ZERO).y + space::NEAR);
    Rect::from_min_max(whole.min + vec2(left, above), whole.max - vec2(right, below))
}

/// The lines.
pub(super) fn grid(ui: &Ui, painter: &Painter, frame: &Frame) {
    let stroke = (strokes::THIN, colour32(theme::of(ui.visuals()).grid));
    for (hz, _) in seen(frame) {
        painter.vline(frame.x(hz.log10()), frame.rect.y_range(), stroke);
    }
    for db in levels_db(frame) {
        painter.hline(frame.rect.x_range(), frame.y(db), stroke);
    }
}

/// The numbers.
pub(super) fn numbers(ui: &Ui, painter: &Painter, frame: &Frame) {
    let colour = colour32(theme::of(ui.visuals()).quiet);
    let font = look::font(ui, text::SMALL, false);
    let mut taken = Taken::default();
    for (hz, number) in seen(frame) {
        let number = if hz > frame.low_hz { number.to_owned() } else { format!("{number} Hz") };
        let galley = painter.layout_no_wrap(number, font.clone(), colour);
        let at = pos2(frame.x(hz.log10()), frame.rect.bottom() + space::TIGHT);
        let place = Align2::CENTER_TOP.anchor_size(at, galley.size());
        if taken.take(place.expand2(vec2(space::TIGHT, 0.0))) {
            painter.galley(place.min, galley, colour);
        }
    }
    for db in levels_db(frame) {
        let at = pos2(frame.rect.left() - space::NEAR, frame.y(db));
        painter.text(at, Align2::RIGHT_CENTER, level(db), font.clone(), colour);
    }
}

fn seen(frame: &Frame) -> impl Iterator<Item = (f64, &'static str)> + use<> {
    let low_hz = frame.low_hz;
    NUMBERED_HZ.into_iter().filter(move |(hz, _)| *hz >= low_hz)
}

/// Levels with a line, from the highest on.
fn levels_db(frame: &Frame) -> impl Iterator<Item = f64> + use<> {
    let (low, high) = frame.range_db;
    let room = |step: &f64| frame.y(-step) - frame.y(0.0) >= STEP;
    let step = STEPS_DB.into_iter().find(room).unwrap_or(STEPS_DB[STEPS_DB.len() - 1]);
    let first = (high / step).floor() * step;
    (0..100u8).map(move |index| first - f64::from(index) * step).take_while(move |db| *db >= low)
}

/// "0 dB", "−10".
fn level(db: f64) -> String {
    if db == 0.0 { ZERO.to_owned() } else { format!("{db:+.0}").replace('-', "−") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn levels(height: f32, range_db: (f64, f64)) -> Vec<String> {
        let rect = Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, height));
        levels_db(&Frame { rect, low_hz: 20.0, range_db }).map(level).collect()
    }

    #[test]
    fn levels_are_round_and_no_closer_than_can_be_read() {
        assert_eq!(levels(270.0, (-50.0, 0.0)), ["0 dB", "−10", "−20", "−30", "−40", "−50"]);
        assert_eq!(levels(100.0, (-50.0, 0.0)), ["0 dB", "−20", "−40"]);
        assert_eq!(levels(350.0, (-20.0, 15.0)), ["+15", "+10", "+5", "0 dB", "−5", "−10", "−15", "−20"]);
    }
}
