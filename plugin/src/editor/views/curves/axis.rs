//! The axes: where that of frequency has lines, and the numbers of both.

use std::ops::RangeInclusive;

use egui_plot::{GridInput, GridMark};

use super::traces::BAND_HZ;

/// Frequencies with a number.
const NUMBERED_HZ: [(f64, &str); 10] = [
    (20.0, "20"),
    (50.0, "50"),
    (100.0, "100"),
    (200.0, "200"),
    (500.0, "500"),
    (1e3, "1k"),
    (2e3, "2k"),
    (5e3, "5k"),
    (10e3, "10k"),
    (20e3, "20k"),
];

/// Lines at 1, 2, 3 ... 9 times the powers of ten, those with a number stronger.
pub(super) fn frequency_marks(_: GridInput) -> Vec<GridMark> {
    let decades = [10.0, 100.0, 1e3, 10e3];
    let all = decades.into_iter().flat_map(|decade| (1..=9u8).map(move |digit| decade * f64::from(digit)));
    let within = all.filter(|hz| (BAND_HZ.0..=BAND_HZ.1).contains(hz));
    within.map(|hz| GridMark { value: hz.log10(), step_size: room(hz) }).collect()
}

/// How much room a line has, as log10: in a narrow plot only the powers of ten keep their numbers.
fn room(hz: f64) -> f64 {
    match numbered(hz) {
        Some("100" | "1k" | "10k") => 1.0,
        Some(_) => 0.3,
        None => 0.09,
    }
}

fn numbered(hz: f64) -> Option<&'static str> {
    NUMBERED_HZ.iter().find(|(at, _)| (at / hz - 1.0).abs() < 1e-6).map(|(_, text)| *text)
}

pub(super) fn number(mark: GridMark, _: &RangeInclusive<f64>) -> String {
    numbered(10f64.powf(mark.value)).unwrap_or_default().to_owned()
}

/// A level in dB; none in the corner, where it would meet the first frequency.
pub(super) fn level(mark: GridMark, range: &RangeInclusive<f64>) -> String {
    let is_lowest = mark.value < range.start() + 0.01 * (range.end() - range.start());
    if is_lowest { String::new() } else { format!("{:.0}", mark.value).replace('-', "−") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_has_ten_numbers() {
        let marks = frequency_marks(GridInput { bounds: (0.0, 5.0), base_step_size: 0.1 });
        let numbers: Vec<_> =
            marks.iter().map(|mark| number(*mark, &(0.0..=5.0))).filter(|text| !text.is_empty()).collect();
        assert_eq!(numbers, ["20", "50", "100", "200", "500", "1k", "2k", "5k", "10k", "20k"]);
        assert_eq!(marks.len(), 8 + 9 + 9 + 2);
    }

    #[test]
    fn the_corner_has_no_level() {
        let text = |value| level(GridMark { value, step_size: 10.0 }, &(-50.0..=5.0));
        assert_eq!([-50.0, -40.0, 0.0].map(text), ["", "−40", "0"]);
    }
}
