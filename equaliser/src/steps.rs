//! The positions that the controls of a desk have.

use serde::Serialize;

/// R40, a decade of it: a twelfth of an octave apart, rounded (preferred numbers, ISO 3, from memory).
#[rustfmt::skip]
const R40: [f64; 40] = [
    1.0, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3.0,
    3.15, 3.35, 3.55, 3.75, 4.0, 4.25, 4.5, 4.75, 5.0, 5.3, 5.6, 6.0, 6.3, 6.7, 7.1, 7.5, 8.0, 8.5, 9.0, 9.5,
];

/// Preferred numbers that a control is marked with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Series {
    /// A third of an octave apart, R10 of ISO 3.
    Third,
    /// A sixth of an octave apart, R20.
    Sixth,
    /// A twelfth of an octave apart, R40.
    Twelfth,
}

impl Series {
    /// Its numbers between two others, and these: what a control can be set to.
    pub(crate) fn between(self, (low, high): (f64, f64)) -> Vec<f64> {
        let each = match self {
            Self::Third => 4,
            Self::Sixth => 2,
            Self::Twelfth => 1,
        };
        let decades = (-2..=5).map(|exponent| 10f64.powi(exponent));
        let numbers = decades.flat_map(|decade| R40.iter().step_by(each).map(move |number| number * decade));
        with_ends(numbers, (low, high))
    }
}

/// Multiples of `step` between two numbers, and these.
pub(crate) fn multiples(step: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let first = (low / step).ceil();
    let numbers = std::iter::successors(Some(first), |number| Some(number + 1.0)).map(|number| number * step);
    with_ends(numbers.take_while(|number| *number < high), (low, high))
}

/// A control's stops are positions, wherever they are; what is as good as at one is none of its own.
fn with_ends(numbers: impl Iterator<Item = f64>, (low, high): (f64, f64)) -> Vec<f64> {
    let near = 1e-6 * (high - low);
    let inside = numbers.filter(|number| low + near < *number && *number < high - near);
    let mut all: Vec<f64> = std::iter::once(low).chain(inside).collect();
    if high > low {
        all.push(high);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 266 (from memory): the third-octave bands from 25 Hz to 200 Hz.
    #[test]
    fn thirds_are_those_of_measurements() {
        let between = Series::Third.between((25.0, 200.0));
        let expected = [25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0];
        assert_eq!(between.len(), expected.len(), "{between:?}");
        assert!(between.iter().zip(expected).all(|(a, b)| (a / b - 1.0).abs() < 1e-12), "{between:?}");
    }

    /// A twelfth of an octave is 5.9 %, and preferred numbers are at most 1.26 % off (ISO 3, from memory).
    #[test]
    fn steps_are_even() {
        let twelfths = Series::Twelfth.between((5.0, 20e3));
        for pair in twelfths.windows(2) {
            assert!((1.043..1.075).contains(&(pair[1] / pair[0])), "{pair:?}");
        }
        assert_eq!(Series::Sixth.between((5.0, 20e3)).len(), twelfths.len().div_ceil(2));
    }

    #[test]
    fn stops_are_positions() {
        assert_eq!(Series::Twelfth.between((83.0, 83.0)), [83.0]);
        assert_eq!(Series::Third.between((30.0, 45.0)), [30.0, 31.5, 40.0, 45.0]);
        assert_eq!(multiples(0.5, (-0.7, 0.7)), [-0.7, -0.5, 0.0, 0.5, 0.7]);
        assert_eq!(multiples(6.0, (-15.0, 15.0)), [-15.0, -12.0, -6.0, 0.0, 6.0, 12.0, 15.0]);
        assert_eq!(multiples(3.0, (-1.0, 1.0)), [-1.0, 0.0, 1.0]);
    }
}
