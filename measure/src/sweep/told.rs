//! From fits to what is told.

use dsp_core::units::{Capacitance, Inductance, Resistance};

use super::bands::Band;
use super::fit::Fit;
use crate::{Estimate, Found, Measured, Point, Refusal, Series};

/// A wider interval than this is no answer: half of it, in logarithms.
const WIDEST: f64 = 0.5;

/// A value of a fit with its interval: its standard error twice, the known part's tolerance as if any value within it were alike, and what the model leaves out, as
/// parts of the value, at right angles.
pub(super) fn estimate(fit: &Fit, place: usize, tolerance: f64, left_out: f64) -> Estimate {
    let half = (2.0 * fit.error[place]).hypot(2.0 * tolerance / 3f64.sqrt()).hypot(left_out);
    let value = fit.ln[place].exp();
    Estimate { value, low: value * (-half).exp(), high: value * half.exp() }
}

/// Whether an interval is narrow enough to be told.
pub(super) fn is_told(estimate: &Estimate) -> bool {
    (estimate.high / estimate.low).ln() <= 2.0 * WIDEST
}

/// The refusal of what must be told and is too wide.
pub(super) fn told(
    estimate: Estimate,
    what: &'static str,
    unit: Unit,
    better: &'static str,
) -> Result<Estimate, Refusal> {
    let text = |value| unit.text(value);
    is_told(&estimate).then_some(estimate).ok_or_else(|| Refusal::TooWide {
        what,
        low: text(estimate.low),
        high: text(estimate.high),
        better,
    })
}

/// The unit of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Ohm,
    Farad,
    Henry,
}

impl Unit {
    /// A value as the trade writes it, to two digits; in plain words where it is beyond what such parts have.
    pub fn text(self, value: f64) -> String {
        let text = match self {
            Self::Ohm => Resistance::from_ohms(value).map(|ohms| format!("{ohms:.2}")),
            Self::Farad => Capacitance::from_farads(value).map(|farads| format!("{farads:.2}")),
            Self::Henry => Inductance::from_henries(value).map(|henries| format!("{henries:.2}")),
        };
        text.unwrap_or_else(|_| if value < 1.0 { "next to nothing" } else { "anything" }.to_owned())
    }
}

/// What was measured and fitted, to be drawn.
pub(super) fn chart(names: &[&'static str], steps: &[Vec<Band>], fit: &Fit) -> Vec<Series> {
    let of_step = |(index, (name, bands)): (usize, (&&'static str, &Vec<Band>))| {
        let left_db = &fit.left_db[index];
        let point = |(band, left_db): (&Band, &f64)| Point {
            hz: band.hz,
            db: band.db,
            error_db: band.error_db,
            fitted_db: band.db - left_db,
        };
        Series { name, points: bands.iter().zip(left_db).map(point).collect() }
    };
    names.iter().zip(steps).enumerate().map(of_step).collect()
}

/// A measurement that came to nothing.
pub(super) fn refused(refusal: Refusal, remarks: Vec<String>, chart: Vec<Series>) -> Measured {
    Measured { found: Found::default(), refused: Some(refusal), remarks, chart }
}
