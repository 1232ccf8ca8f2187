//! Intervals as the trade writes them, and as options take them.

use dsp_core::units::{Capacitance, Inductance, Resistance, UnitError};
use firstjack_measure::Estimate;

/// What a value is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    Ohms,
    Farads,
    Henries,
}

/// Significant digits that are shown of ends, and of values that are typed again.
const SHOWN: i32 = 3;
const TYPED: usize = 4;

/// How much wider than an interval one in per cent around its value may be; beyond that it is told by its ends.
const SYMMETRIC: f64 = 1.1;

/// More per cent no tolerance has.
const MOST_PERCENT: f64 = 90.0;

impl Quantity {
    /// A value in SI units; `None` where no part has so much.
    fn written(self, value: f64, digits: usize) -> Option<String> {
        let text: Result<String, UnitError> = match self {
            Self::Ohms => Resistance::from_ohms(value).map(|ohms| format!("{ohms:.digits$}")),
            Self::Farads => Capacitance::from_farads(value).map(|farads| format!("{farads:.digits$}")),
            Self::Henries => Inductance::from_henries(value).map(|henries| format!("{henries:.digits$}")),
        };
        text.ok()
    }

    /// As it is told: "683 pF".
    pub fn value(self, estimate: Estimate) -> String {
        self.written(estimate.value, 3).unwrap_or_else(|| "?".to_owned())
    }

    /// Where it lies, told outwards: "between 640 and 730 pF", "above 4.7 MΩ" where it has no upper end.
    pub fn between(self, estimate: Estimate) -> String {
        let end = |value: f64, up: bool| self.written(outwards(value, up), 3);
        match (end(estimate.low, false), end(estimate.high, true)) {
            (Some(low), Some(high)) => match (low.split_once(' '), high.split_once(' ')) {
                (Some((number, one)), Some((_, other))) if one == other => {
                    format!("between {number} and {high}")
                }
                _ => format!("between {low} and {high}"),
            },
            (Some(low), None) => format!("above {low}"),
            (None, Some(high)) => format!("below {high}"),
            (None, None) => "anywhere".to_owned(),
        }
    }

    /// As an option takes it and a kit keeps it, holding all of the interval: `683 pF ±6.9 %`, or where it lies to one side `640 pF to 790 pF`.
    /// `None` where there is no such text: it has no upper end.
    pub fn typed(self, estimate: Estimate) -> Option<String> {
        let value = to_digits(estimate.value, TYPED);
        let off = (1.0 - estimate.low / value).max(estimate.high / value - 1.0) * 100.0;
        // Steps of a tenth, or of a whole one from ten on, upwards.
        let percent = if off < 9.9 { (off * 10.0).ceil() / 10.0 } else { off.ceil() };
        let is_symmetric =
            2.0 * percent / 100.0 * value <= SYMMETRIC * (estimate.high - estimate.low) + 0.002 * value;
        if is_symmetric && percent <= MOST_PERCENT {
            return Some(format!("{} ±{percent} %", self.written(value, TYPED)?));
        }
        let (low, high) = (outwards(estimate.low, false), outwards(estimate.high, true));
        Some(format!("{} to {}", self.written(low, 3)?, self.written(high, 3)?))
    }
}

/// The next value of a few digits, below or above.
fn outwards(value: f64, up: bool) -> f64 {
    if !(value > 0.0 && value.is_finite()) {
        return value;
    }
    let step = 10f64.powi(order(value) - SHOWN + 1);
    // What is on a step but for rounding stays there.
    let steps = value / step;
    let near = steps.round();
    let steps = if (steps - near).abs() < 1e-6 {
        near
    } else if up {
        steps.ceil()
    } else {
        steps.floor()
    };
    to_digits(steps * step, 6)
}

/// The exponent of a value's first digit.
#[expect(clippy::cast_possible_truncation, reason = "of a finite number")]
fn order(value: f64) -> i32 {
    value.log10().floor() as i32
}

/// As it is written with so many digits.
fn to_digits(value: f64, digits: usize) -> f64 {
    format!("{value:.*e}", digits - 1).parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(value: f64, low: f64, high: f64) -> Estimate {
        Estimate { value, low, high }
    }

    #[test]
    fn intervals_are_told_outwards() {
        let farads = Quantity::Farads;
        let pickup = of(683.4e-12, 640.4e-12, 729.6e-12);
        assert_eq!(
            (farads.value(pickup), farads.between(pickup)),
            ("683 pF".into(), "between 640 and 730 pF".into())
        );
        let across = of(1e-9, 960.2e-12, 1.041e-9);
        assert_eq!(farads.between(across), "between 960 pF and 1.05 nF");
        assert_eq!(Quantity::Ohms.between(of(1e6, 470e3, f64::INFINITY)), "above 470 kΩ");
        assert_eq!(Quantity::Henries.between(of(4.7, 4.5, 5.0)), "between 4.5 and 5 H");
    }

    #[test]
    fn what_is_typed_again_holds_the_interval() {
        let typed = |estimate| Quantity::Farads.typed(estimate).unwrap();
        assert_eq!(typed(of(683.4e-12, 640.4e-12, 729.6e-12)), "683.4 pF ±6.8 %");
        assert_eq!(typed(of(500e-12, 400e-12, 800e-12)), "400 pF to 800 pF");
        assert_eq!(Quantity::Ohms.typed(of(1e6, 470e3, f64::INFINITY)), None);
        for index in 0..2000_u32 {
            let part = f64::from(index) / 2000.0;
            let value = 40e-12 * 750f64.powf(part);
            let (down, up) = (1.0 + 0.5 * part, 1.0 + 0.6 * (1.0 - part));
            let estimate = of(value, value / down, value * up);
            let read: Capacitance = typed(estimate).parse().unwrap();
            let (low, high) = read.ends();
            assert!(
                low <= estimate.low * (1.0 + 1e-9) && high >= estimate.high * (1.0 - 1e-9),
                "{estimate:?}: {read}"
            );
            assert!(
                high - low <= 1.12 * (estimate.high - estimate.low) + 0.012 * value,
                "{estimate:?}: {read}"
            );
        }
    }
}
