//! Where frequencies and levels lie, and where the grid has lines.

use std::ops::Range;

/// Where the frequency axis has lines.
const LINES_HZ: [f64; 12] = [20.0, 50.0, 100.0, 200.0, 500.0, 1e3, 2e3, 5e3, 10e3, 20e3, 50e3, 100e3];

/// Steps of the level axis in dB, the first with few enough lines is taken.
const STEPS_DB: [f64; 10] = [0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
const MOST_STEPS: f64 = 7.0;

/// Edges of the plot in units of the drawing, and what they stand for.
pub struct Axes {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    pub span_hz: Range<f64>,
    span_db: Range<f64>,
    step_db: f64,
}

impl Axes {
    /// Across, `(left, right)` stand for the lowest and the highest of `hz`; down, `(top, bottom)` hold all `levels_db`, and at least
    /// `least_db` of them.
    pub fn new(
        (left, right): (f64, f64),
        (top, bottom): (f64, f64),
        hz: impl Iterator<Item = f64> + Clone,
        levels_db: impl Iterator<Item = f64>,
        least_db: f64,
    ) -> Self {
        let span_hz = hz.clone().fold(f64::INFINITY, f64::min)..hz.fold(0.0, f64::max);
        let (step_db, span_db) = span_db(levels_db, least_db);
        Self { left, right, top, bottom, span_hz, span_db, step_db }
    }

    pub fn x(&self, hz: f64) -> f64 {
        let octaves = (self.span_hz.end / self.span_hz.start).log2();
        self.left + (self.right - self.left) * (hz / self.span_hz.start).log2() / octaves
    }

    /// What lies beyond the edges lies on them.
    pub fn y(&self, db: f64) -> f64 {
        let part = (self.span_db.end - db) / (self.span_db.end - self.span_db.start);
        self.top + (self.bottom - self.top) * part.clamp(0.0, 1.0)
    }

    /// Where the frequency axis has lines.
    pub fn lines_hz(&self) -> impl Iterator<Item = f64> {
        LINES_HZ.into_iter().filter(|hz| *hz >= self.span_hz.start && *hz <= self.span_hz.end * 1.000_001)
    }

    /// Where the level axis has lines.
    pub fn lines_db(&self) -> impl Iterator<Item = f64> {
        let first = (self.span_db.start / self.step_db).round();
        std::iter::successors(Some(first), |number| Some(number + 1.0))
            .map(|number| to_hundredths(number * self.step_db))
            .take_while(|db| *db <= self.span_db.end)
    }
}

/// From a whole step below all levels, and 0 dB, to a whole step above them.
fn span_db(levels_db: impl Iterator<Item = f64>, least_db: f64) -> (f64, Range<f64>) {
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for db in levels_db {
        (low, high) = (low.min(db), high.max(db));
    }
    if high - low < least_db {
        match (low < 0.0, high > 0.0) {
            (true, true) => (low, high) = (low.min(-0.5 * least_db), high.max(0.5 * least_db)),
            (_, false) => low = -least_db,
            (false, true) => high = least_db,
        }
    }
    let steps = |step: f64| (high / step).ceil() - (low / step).floor();
    let widest = STEPS_DB[STEPS_DB.len() - 1];
    let step = STEPS_DB.into_iter().find(|step| steps(*step) <= MOST_STEPS).unwrap_or(widest);
    // A line along an edge would be cut in half.
    let span = (low / step).floor() * step..((high / step).ceil() * step).max(high + 0.1 * step);
    (step, span)
}

/// Steps are no finer, and sums of them are a little off.
fn to_hundredths(db: f64) -> f64 {
    (db * 100.0).round() / 100.0
}

/// "50", "2k".
pub fn frequency(hz: f64) -> String {
    if hz < 1000.0 { format!("{hz}") } else { format!("{}k", hz / 1000.0) }
}

/// With a minus sign, not a hyphen.
pub fn level(db: f64) -> String {
    if db < 0.0 { format!("−{}", -db) } else { format!("{}", db + 0.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(levels: &[f64], least_db: f64) -> (Vec<f64>, Range<f64>) {
        let hz = [20.0, 20e3].into_iter();
        let axes = Axes::new((0.0, 100.0), (0.0, 50.0), hz, levels.iter().copied(), least_db);
        (axes.lines_db().collect(), axes.span_db)
    }

    #[test]
    fn whole_steps_hold_all_levels() {
        for (levels, step, count) in [
            (&[0.0][..], 2.0, 6),
            (&[-0.2, 0.1], 2.0, 7),
            (&[-46.5, 0.0], 10.0, 6),
            (&[-100.0, 0.0], 20.0, 6),
            (&[0.0, 14.8], 5.0, 4),
            (&[-100.0, 80.0], 20.0, 10),
        ] {
            let (lines, span) = lines(levels, 10.0);
            assert_eq!((lines.len(), lines[1] - lines[0]), (count, step), "{levels:?}: {lines:?}");
            assert!(lines.contains(&0.0) && levels.iter().all(|db| *db >= span.start && *db < span.end));
        }
    }
}
