//! Curves as sampled points, made again only when the figures have changed.

use dsp_core::circuit::Spread;

use crate::editor::{CurveKind, Model, Readings, SetupFigures};

/// The band that is drawn, in Hz.
pub(super) const BAND_HZ: (f64, f64) = (20.0, 20e3);
/// Where it begins if something comes down again below the lowest string.
const LOWER_HZ: f64 = 10.0;

/// Points of a curve.
const POINTS: u16 = 400;
/// Points of a band's edges: each is searched for.
const BAND_POINTS: u16 = 80;
/// Places of the spectrum, each the loudest of its part of the band.
const BARS: u16 = 160;
/// Below this nothing is drawn, in dB.
const FLOOR_DB: f64 = -160.0;
/// The lowest end of the level axis, in dB.
const LOWEST_DB: f64 = -90.0;
/// The least span of the level axis, in dB.
const LEAST_SPAN_DB: f64 = 20.0;
/// 0 dB is at the top unless something rises by so much, in dB.
const LEAST_RISE_DB: f64 = 0.25;

/// A curve.
#[derive(Debug, Clone)]
pub(super) struct Trace {
    /// A setup, counted from zero, or `None` for the take as recorded.
    pub place: Option<usize>,
    /// The pickup, counted from zero.
    pub pickup: usize,
    /// log10 of the frequency in Hz, level in dB.
    pub points: Vec<(f64, f64)>,
}

/// What tolerances leave open around a curve.
#[derive(Debug, Clone, Default)]
pub(super) struct Band {
    /// log10 of the frequency in Hz.
    pub x: Vec<f64>,
    /// Levels in dB.
    pub lower: Vec<f64>,
    pub upper: Vec<f64>,
}

/// All curves of a document, and the live spectrum.
#[derive(Debug, Default)]
pub(super) struct Traces {
    of: Option<(u64, CurveKind, Option<usize>)>,
    pub all: Vec<Trace>,
    /// Where they begin, in Hz.
    pub low_hz: f64,
    /// Of what is heard; empty without a tolerance.
    pub band: Band,
    /// Lower and upper end of the level axis in dB.
    pub range_db: (f64, f64),
    spectrum_of: Option<u64>,
    /// log10 of the frequency in Hz.
    pub spectrum_x: Vec<f64>,
    /// Level in dB re full scale.
    pub spectrum_db: Vec<f64>,
}

impl Traces {
    /// Samples what has changed.
    pub fn update(&mut self, model: &Model, readings: &Readings) {
        if self.spectrum_of != Some(readings.version) {
            self.spectrum_of = Some(readings.version);
            self.thin_spectrum(&readings.spectrum);
        }
        let of = (model.figures.version, model.curves, model.document.heard);
        if self.of == Some(of) {
            return;
        }
        self.of = Some(of);
        let (figures, kind) = (&model.figures, model.curves);
        let setups = figures.setups.iter().enumerate().map(|(index, setup)| (Some(index), setup));
        let places = [(None, &figures.recorded)].into_iter().chain(setups);
        let comes_down = kind == CurveKind::Change && model.document.floor.is_some();
        self.low_hz = if comes_down { LOWER_HZ } else { BAND_HZ.0 };
        self.all = places.flat_map(|(place, of)| traces(place, of, kind, self.low_hz)).collect();
        let spread = figures.of(model.document.heard).spread.as_ref();
        self.band = spread.filter(|_| kind == CurveKind::Loss).map(Band::new).unwrap_or_default();
        self.range_db = range_db(&self.all, &self.band);
    }

    fn thin_spectrum(&mut self, spectrum: &[(f64, f64)]) {
        self.spectrum_x.clear();
        self.spectrum_db.clear();
        let mut rest = spectrum.iter().skip_while(|(hz, _)| *hz < BAND_HZ.0).peekable();
        for bar in 0..BARS {
            let (from, to) = (position(bar, BARS), position(bar + 1, BARS));
            let end_hz = 10f64.powf(to);
            let mut loudest: Option<f64> = None;
            while let Some((_, db)) = rest.next_if(|(hz, _)| *hz < end_hz) {
                loudest = Some(loudest.map_or(*db, |most| most.max(*db)));
            }
            if let Some(db) = loudest.filter(|db| !db.is_nan()) {
                self.spectrum_x.push(0.5 * (from + to));
                self.spectrum_db.push(db);
            }
        }
    }
}

impl Band {
    fn new(spread: &Spread) -> Self {
        let mut band = Self::default();
        for point in 0..BAND_POINTS {
            let x = position(point, BAND_POINTS - 1);
            let loss_db = spread.curve_db(None, 10f64.powf(x));
            band.x.push(x);
            band.lower.push((-loss_db.high).max(FLOOR_DB));
            band.upper.push((-loss_db.low).max(FLOOR_DB));
        }
        band
    }
}

/// The level that a curve has at a frequency, in dB.
pub(super) fn level_db(of: &SetupFigures, kind: CurveKind, pickup: usize, hz: f64) -> f64 {
    match kind {
        CurveKind::Loss => -of.response.loss_db(hz),
        CurveKind::Change => of.shapes.get(pickup).map_or(0.0, |shape| shape.db(hz)),
    }
}

fn traces(
    place: Option<usize>,
    of: &SetupFigures,
    kind: CurveKind,
    low_hz: f64,
) -> impl Iterator<Item = Trace> {
    let pickups = match kind {
        CurveKind::Loss => 1,
        CurveKind::Change => of.shapes.len(),
    };
    (0..pickups).map(move |pickup| {
        let point = |index| {
            let x = position_from(low_hz, index, POINTS - 1);
            (x, level_db(of, kind, pickup, 10f64.powf(x)).max(FLOOR_DB))
        };
        Trace { place, pickup, points: (0..POINTS).map(point).collect() }
    })
}

/// log10 of the frequency at so many parts of the band.
fn position(part: u16, of: u16) -> f64 {
    position_from(BAND_HZ.0, part, of)
}

/// The same of a band that begins elsewhere, in Hz.
fn position_from(low_hz: f64, part: u16, of: u16) -> f64 {
    let (from, to) = (low_hz.log10(), BAND_HZ.1.log10());
    from + (to - from) * f64::from(part) / f64::from(of)
}

/// All that curves reach, in round numbers, but no deeper than is of use.
fn range_db(traces: &[Trace], band: &Band) -> (f64, f64) {
    let edges = || band.lower.iter().chain(&band.upper).copied();
    let levels = || traces.iter().flat_map(|trace| &trace.points).map(|(_, db)| *db).chain(edges());
    let highest = levels().fold(0.0, f64::max);
    let lowest = levels().fold(0.0, f64::min).max(LOWEST_DB);
    let high = if highest < LEAST_RISE_DB { 0.0 } else { ((highest + 1.0) / 5.0).ceil() * 5.0 };
    let low = ((lowest - 1.0) / 10.0).floor() * 10.0;
    (low.min(high - LEAST_SPAN_DB), high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_reaches_beyond_the_curves_in_round_numbers() {
        let trace = |levels: &[f64]| Trace {
            place: None,
            pickup: 0,
            points: levels.iter().map(|db| (2.0, *db)).collect(),
        };
        assert_eq!(range_db(&[trace(&[-46.4, -0.1])], &Band::default()), (-50.0, 0.0));
        assert_eq!(range_db(&[trace(&[0.0, 0.0])], &Band::default()), (-20.0, 0.0));
        assert_eq!(range_db(&[trace(&[-3.0]), trace(&[23.9])], &Band::default()), (-10.0, 25.0));
        assert_eq!(range_db(&[trace(&[-400.0])], &Band::default()), (-100.0, 0.0));
        let band = Band { x: vec![2.0], lower: vec![-12.0], upper: vec![6.5] };
        assert_eq!(range_db(&[trace(&[-3.0])], &band), (-20.0, 10.0));
    }

    #[test]
    fn the_spectrum_keeps_its_peaks() {
        let mut traces = Traces::default();
        let spectrum: Vec<_> =
            (0..24_000).map(|hz| (f64::from(hz), if hz == 1000 { -6.0 } else { -80.0 })).collect();
        traces.thin_spectrum(&spectrum);
        let loudest = traces.spectrum_db.iter().position(|db| *db == -6.0).unwrap();
        // Within half a part of the band of where it is: 20 Hz · 1000^(1/320).
        assert!((traces.spectrum_x[loudest] - 3.0).abs() <= 3.0 / 320.0 + 1e-12);
        assert_eq!(traces.spectrum_db.iter().filter(|db| **db > -80.0).count(), 1);
        assert!(traces.spectrum_x.iter().all(|x| (20f64.log10()..=20e3f64.log10()).contains(x)));
    }
}
