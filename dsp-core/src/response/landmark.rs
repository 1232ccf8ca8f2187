//! Places on a curve of `|H|²` over frequency, found on a logarithmic grid and refined.

/// Steps of the grid in a decade: a resonance of Q 50 is three steps wide.
const STEPS: f64 = 200.0;

/// Halvings of an interval that leave nothing but rounding.
const HALVINGS: u32 = 60;

/// Golden sections of an interval. More find nothing: near a maximum the curve is flat to rounding.
const SECTIONS: u32 = 50;

/// A rise of less is not called a peak, in dB.
const LEAST_PEAK_DB: f64 = 0.05;

/// A resonance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Where, in Hz.
    pub hz: f64,
    /// How high, in dB.
    pub db: f64,
}

/// From one frequency to another, downwards too, in even steps of their logarithm; both ends are in it.
fn grid(from_hz: f64, to_hz: f64) -> impl Iterator<Item = f64> {
    let decades = (to_hz / from_hz).log10();
    let steps = (decades.abs() * STEPS).ceil().max(2.0);
    let at = move |i: f64| if i >= steps { to_hz } else { from_hz * 10f64.powf(decades * i / steps) };
    std::iter::successors(Some(0.0), move |i| (*i < steps).then_some(i + 1.0)).map(at)
}

/// Where the curve first falls to `level` on the way from `from_hz`, where it lies above, to `to_hz`.
pub(super) fn crossing(power: impl Fn(f64) -> f64, level: f64, from_hz: f64, to_hz: f64) -> Option<f64> {
    let mut inside = from_hz;
    for outside in grid(from_hz, to_hz).skip(1) {
        if power(outside) <= level {
            return Some(between(inside, outside, |hz| power(hz) > level));
        }
        inside = outside;
    }
    None
}

/// Between a place where `holds` and one where it does not, the border.
pub(super) fn between(mut inside: f64, mut outside: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = (inside * outside).sqrt();
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    (inside * outside).sqrt()
}

/// The highest place of a band, and how high.
pub(super) fn highest(power: impl Fn(f64) -> f64, band_hz: (f64, f64)) -> (f64, f64) {
    let points = grid(band_hz.0, band_hz.1).map(|hz| (hz, power(hz)));
    let (hz, height) =
        points.fold((band_hz.0, 0.0), |best, point| if point.1 > best.1 { point } else { best });
    let step = 10f64.powf(STEPS.recip());
    let (refined, top) = summit(&power, (hz / step).max(band_hz.0), (hz * step).min(band_hz.1));
    if top > height { (refined, top) } else { (hz, height) }
}

/// The place of a band where the curve changes least with frequency, and how high it lies there.
pub(super) fn flattest(power: impl Fn(f64) -> f64, band_hz: (f64, f64)) -> (f64, f64) {
    let points: Vec<(f64, f64)> = grid(band_hz.0, band_hz.1).map(|hz| (hz, power(hz))).collect();
    let change = |pair: &[(f64, f64)]| (pair[1].1 / pair[0].1).ln().abs();
    let pairs = points.windows(2).min_by(|a, b| change(a).total_cmp(&change(b)));
    pairs.map_or((band_hz.0, power(band_hz.0)), |pair| pair[0])
}

/// The highest maximum within a band, not at its ends, against `reference`.
pub(super) fn peak(power: impl Fn(f64) -> f64, band_hz: (f64, f64), reference: f64) -> Option<Peak> {
    let points: Vec<(f64, f64)> = grid(band_hz.0, band_hz.1).map(|hz| (hz, power(hz))).collect();
    let is_summit = |three: &&[(f64, f64)]| three[1].1 > three[0].1 && three[1].1 >= three[2].1;
    let best = points.windows(3).filter(is_summit).max_by(|a, b| a[1].1.total_cmp(&b[1].1))?;
    let (hz, height) = summit(&power, best[0].0, best[2].0);
    let db = 10.0 * (height / reference).log10();
    (db >= LEAST_PEAK_DB).then_some(Peak { hz, db })
}

/// The maximum between two places, by golden section.
fn summit(power: impl Fn(f64) -> f64, low_hz: f64, high_hz: f64) -> (f64, f64) {
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (low_hz.ln(), high_hz.ln());
    for _ in 0..SECTIONS {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if power(left.exp()) < power(right.exp()) {
            low = left;
        } else {
            high = right;
        }
    }
    let hz = (0.5 * (low + high)).exp();
    (hz, power(hz))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `|H|²` of a low-pass of second order at 1 kHz (textbook).
    fn low_pass(q: f64) -> impl Fn(f64) -> f64 {
        move |hz| {
            let x2 = (hz / 1000.0_f64).powi(2);
            ((1.0 - x2).powi(2) + x2 / (q * q)).recip()
        }
    }

    /// `f0 sqrt(1 - 1/(2Q²))` and `Q/sqrt(1 - 1/(4Q²))` (textbook), from a barely visible peak to one that a crystal would have.
    #[test]
    fn peaks_are_where_the_formula_has_them() {
        for q in [0.8, 1.0, 6.0, 50.0, 300.0] {
            let found = peak(low_pass(q), (20.0, 100e3), 1.0).unwrap();
            let hz = 1000.0 * (1.0 - 0.5 / (q * q)).sqrt();
            let db = 20.0 * (q / (1.0 - 0.25 / (q * q)).sqrt()).log10();
            assert!((found.hz / hz - 1.0).abs() < 1e-6, "{found:?} not {hz}");
            assert!((found.db - db).abs() < 1e-9, "{found:?} not {db}");
            let (top_hz, top) = highest(low_pass(q), (1.0, 1e6));
            assert!((top_hz / hz - 1.0).abs() < 1e-6 && (10.0 * top.log10() - db).abs() < 1e-9);
        }
        assert_eq!(peak(low_pass(0.7), (20.0, 100e3), 1.0), None, "no peak below 1/sqrt(2)");
        for band_hz in [(1050.0, 100e3), (2000.0, 100e3), (20.0, 950.0)] {
            assert_eq!(peak(low_pass(6.0), band_hz, 1.0), None, "not at an end of the band, however high");
        }
    }

    /// A Butterworth's half power is at its corner.
    #[test]
    fn a_crossing_is_found_in_both_directions() {
        let butterworth = low_pass(0.5_f64.sqrt());
        let up = crossing(&butterworth, 0.5, 20.0, 100e3).unwrap();
        assert!((up - 1000.0).abs() < 1e-8, "{up}");
        let down = crossing(|hz| butterworth(1e6 / hz), 0.5, 50e3, 1.0).unwrap();
        assert!((down - 1000.0).abs() < 1e-8, "{down}");
        assert_eq!(crossing(&butterworth, 0.5, 20.0, 900.0), None);
    }

    /// A band-pass of two corners is flattest at their geometric mean.
    #[test]
    fn the_flattest_place_lies_between_the_corners() {
        let band = |hz: f64| ((1.0 + (30.0 / hz).powi(2)) * (1.0 + (hz / 3000.0).powi(2))).recip();
        let (hz, power) = flattest(band, (20.0, 1e3));
        assert!((hz / 300.0 - 1.0).abs() < 0.02 && power > 0.98, "{hz} {power}");
    }
}
