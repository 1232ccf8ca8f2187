//! What was measured and what was fitted to it, drawn.

use std::path::Path;

use firstjack_measure::{Point, Series};

use super::finding::{Finding, Method};
use crate::error::Failure;
use crate::plot::{Curve, Picture, PictureKind, Plot, Reading, Units};

/// Standard errors to either side that hold 19 in 20 of what is normally distributed (textbook).
const BAR: f64 = 1.96;

/// The least that is spanned of levels, and of what is left between them and the curves, in dB.
const LEAST_DB: f64 = 6.0;
const LEAST_LEFT_DB: f64 = 0.1;

/// The picture as a file.
pub fn bytes(finding: &Finding, kind: PictureKind, path: &Path) -> Result<Vec<u8>, Failure> {
    if finding.measured.chart.is_empty() {
        let problem = "there is nothing to draw of this measurement: leave --picture out";
        return Err(Failure::Usage(format!("{}: {problem}", path.display())));
    }
    kind.bytes(&picture(finding), path)
}

fn picture(finding: &Finding) -> Picture<'_> {
    let chart = &finding.measured.chart;
    let level = match finding.method {
        Method::Sweep => "dB, against the reference",
        Method::Toggle | Method::Rub | Method::Meter => "dB, by switching",
    };
    let units = |level| Units { level, frequency: "Frequency in Hz", beside: false };
    let reading = |point: &Point| Reading { hz: point.hz, db: point.db, bar_db: BAR * point.error_db };
    let left = |point: &Point| Reading { db: point.db - point.fitted_db, ..reading(point) };
    Picture {
        title: finding.verdict().unwrap_or_default(),
        said: "Dots are what was measured, with bars that hold it 19 times in 20; lines are what the circuit gives that was \
               found. Below, what is left between them."
            .to_owned(),
        plot: Plot {
            curves: curves(chart, reading, |point| Some((point.hz, point.fitted_db))),
            strings: Vec::new(),
            ask_db: None,
            least_db: LEAST_DB,
            units: units(level),
        },
        below: Some(Plot {
            curves: curves(chart, left, |_| None),
            strings: Vec::new(),
            ask_db: None,
            least_db: LEAST_LEFT_DB,
            units: units("dB, measured less fitted"),
        }),
        ask: None,
    }
}

fn curves<'a>(
    chart: &'a [Series],
    reading: impl Fn(&Point) -> Reading,
    point: impl Fn(&Point) -> Option<(f64, f64)>,
) -> Vec<Curve<'a>> {
    let curve = |(number, series): (usize, &'a Series)| Curve {
        key: "",
        name: series.name,
        number,
        points: series.points.iter().filter_map(&point).collect(),
        band: Vec::new(),
        measured: series.points.iter().map(&reading).collect(),
    };
    chart.iter().enumerate().map(curve).collect()
}
