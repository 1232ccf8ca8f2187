//! Values that parts are made in: the E series of preferred numbers.

use super::{Capacitance, Resistance, nine_digits};

/// A decade of E24, in tenths; every other one is of E12 (IEC 60063).
const E24: [u32; 24] =
    [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

/// Capacitors that are looked among, in farads: below, what is soldered around them is as large.
const CAPACITORS: (f64, f64) = (10e-12, 10e-6);

/// So near is near enough, as a part of the value: a level of 0.04 dB.
const NEAR: f64 = 0.005;

/// All values of a series between two, in SI units, from small to large; every `step`th of E24.
fn between(low: f64, high: f64, step: usize) -> impl Iterator<Item = f64> + Clone {
    let value = move |decade: i32| {
        E24.iter().step_by(step).map(move |tenths| nine_digits(f64::from(*tenths) * 10f64.powi(decade)))
    };
    (-13..12).flat_map(value).filter(move |value| (low..=high).contains(value))
}

impl Resistance {
    /// The nearest of the E24 series (IEC 60063), in proportion; of the smallest and the largest there are beyond them.
    #[must_use]
    pub fn preferred(self) -> Self {
        nearest(self.ohms(), between(Self::LOWEST, Self::HIGHEST, 1)).and_then(Self::of).unwrap_or(self)
    }

    /// The largest of the E24 series that is no larger.
    #[must_use]
    pub fn preferred_below(self) -> Self {
        between(Self::LOWEST, self.ohms(), 1).last().and_then(Self::of).unwrap_or(self)
    }

    fn of(ohms: f64) -> Option<Self> {
        Self::from_ohms(ohms).ok()
    }
}

impl Capacitance {
    /// The capacitors to make it of: one, or two side by side, the larger one first, where none comes within half a per cent; of E12 where that is as near, or
    /// else of E24 (IEC 60063). None where it is too small or too large to be made of parts from 10 pF to 10 µF.
    pub fn preferred(self) -> Vec<Self> {
        let farads = self.farads();
        if !(CAPACITORS.0..=CAPACITORS.1).contains(&farads) {
            return Vec::new();
        }
        let mut found: Vec<Vec<f64>> = Vec::new();
        for step in [2, 1] {
            let all = || between(CAPACITORS.0, CAPACITORS.1, step);
            found.extend(nearest(farads, all()).map(|one| vec![one]));
        }
        for step in [2, 1] {
            let all = || between(CAPACITORS.0, farads, step);
            let pair = |one: f64| Some(vec![one, nearest(farads - one, all())?]);
            found.extend(all().filter(|one| *one < farads).filter_map(pair));
        }
        let off = |parts: &Vec<f64>| (parts.iter().sum::<f64>() / farads).ln().abs();
        let singles = found.iter().take(2).find(|parts| off(parts) <= NEAR);
        let best = || found.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        let mut parts: Vec<f64> = singles.or_else(best).cloned().unwrap_or_default();
        parts.sort_by(|a, b| b.total_cmp(a));
        parts.into_iter().filter_map(|part| Self::from_farads(part).ok()).collect()
    }
}

fn nearest(value: f64, among: impl Iterator<Item = f64>) -> Option<f64> {
    among.min_by(|a, b| (a / value).ln().abs().total_cmp(&(b / value).ln().abs()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn capacitors(text: &str) -> Vec<String> {
        text.parse::<Capacitance>().unwrap().preferred().iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_pickup_is_made_of_one_capacitor_or_of_two() {
        assert_eq!(capacitors("680p"), ["680 pF"]);
        assert_eq!(capacitors("1.003n"), ["1 nF"]);
        assert_eq!(capacitors("750p"), ["750 pF"]);
        for text in ["200p", "530p", "1.03n", "2.55n", "17.3n", "0.9u"] {
            let wanted = text.parse::<Capacitance>().unwrap().farads();
            let parts = text.parse::<Capacitance>().unwrap().preferred();
            let sum: f64 = parts.iter().map(|part| part.farads()).sum();
            assert!((sum / wanted - 1.0).abs() < 0.01 && parts.len() <= 2, "{text}: {parts:?}");
        }
        assert!(capacitors("3p").is_empty() && capacitors("1 F").is_empty());
    }

    #[test]
    fn resistors_are_of_e24() {
        let ohms = |text: &str| text.parse::<Resistance>().unwrap();
        assert_eq!(ohms("4.6k").preferred(), ohms("4k7"));
        assert_eq!(ohms("4.69k").preferred_below(), ohms("4k3"));
        assert_eq!(ohms("4k7").preferred_below(), ohms("4k7"));
        assert_eq!(ohms("97").preferred(), ohms("100"));
    }
}
