//! Which value of a circuit makes the steps likeliest, and between which it lies.

use fastrand::Rng;
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::likelihood::{Scatter, Step};
use super::spectra::to_f64;

/// A coarse search looks at one of so many values.
const COARSE: usize = 10;

/// So many draws of the bootstrap.
const DRAWS: usize = 500;

/// An interval holds the truth 19 times in 20.
const UPPER: f64 = 0.975;

/// The logarithm of the likelihood of a group's steps by what is expected of each.
pub(crate) type Likelihood<'a> = Box<dyn Fn(&[f64]) -> f64 + 'a>;

/// What belongs together and is drawn together: all that is seen at one switch.
pub(crate) trait Evidence {
    /// What was measured.
    fn steps(&self) -> &[Step];
    /// The logarithm of the likelihood of these steps by what is expected of each.
    fn log_likelihood(&self, scatter: Scatter) -> Likelihood<'_>;
    /// What of each step is the switch's own and not the circuit's, in nepers, at its likeliest.
    fn beside(&self, expected: &[f64], scatter: &Scatter) -> Vec<f64>;
    /// How many groups share each measurement, which they then do not tell independently.
    fn sharing() -> usize;
    /// What scatters are tried.
    fn scatters() -> Vec<Scatter>;
}

/// What a circuit makes of a frequency in Hz: a step in nepers, for one value of what is sought.
pub(crate) type Expected<'a> = dyn Fn(f64, f64) -> f64 + 'a;

/// A search among values that are evenly apart, such as logarithms.
pub(crate) struct Search<'a, E> {
    groups: &'a [E],
    values: Vec<f64>,
}

/// The likeliest value and its interval, on the scale of the values that were searched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Likeliest {
    pub value: f64,
    pub low: f64,
    pub high: f64,
    pub log_likelihood: f64,
    pub scatter: Scatter,
    /// Whether it or its interval is at an end of what was searched.
    pub is_at_end: bool,
}

impl<'a, E: Evidence> Search<'a, E> {
    /// `count` values from `low` to `high`.
    pub fn new(groups: &'a [E], low: f64, high: f64, count: usize) -> Self {
        let step = (high - low) / to_f64(count - 1);
        Self { groups, values: (0..count).map(|at| low + step * to_f64(at)).collect() }
    }

    /// The likeliest value, with the scatter that goes with it.
    pub fn likeliest(&self, expected: &Expected<'_>) -> Likeliest {
        let scatter = self.scatter(expected);
        let table = self.table(expected, &scatter);
        let total = sum(table.iter().map(Vec::as_slice), self.values.len());
        let (at, log_likelihood) = summit(&total);
        let freedom = to_f64((self.groups.len() / E::sharing()).max(2) - 1);
        let quantile = StudentsT::new(0.0, 1.0, freedom).expect("more than none").inverse_cdf(UPPER);
        let (low, high) =
            crossings(&total, log_likelihood - 0.5 * to_f64(E::sharing()) * quantile * quantile);
        let (drawn_low, drawn_high) = self.bootstrap(&table);
        let (low, high) = (low.min(drawn_low).min(at), high.max(drawn_high).max(at));
        let is_at_end = low < 1.0 || high > to_f64(self.values.len()) - 2.0;
        let [value, low, high] = [at, low, high].map(|at| self.value(at));
        Likeliest { value, low, high, log_likelihood, scatter, is_at_end }
    }

    /// The likeliest value for another circuit with the same scatter.
    pub fn value_for(&self, expected: &Expected<'_>, scatter: &Scatter) -> f64 {
        let table = self.table(expected, scatter);
        self.value(summit(&sum(table.iter().map(Vec::as_slice), self.values.len())).0)
    }

    /// At a place between the values.
    fn value(&self, at: f64) -> f64 {
        self.values[0] + (self.values[1] - self.values[0]) * at
    }

    fn expected(group: &E, value: f64, expected: &Expected<'_>) -> Vec<f64> {
        group.steps().iter().map(|step| expected(value, step.hz)).collect()
    }

    /// The scatter of the best of all values and scatters, looked for coarsely; then once more at the best value.
    fn scatter(&self, expected: &Expected<'_>) -> Scatter {
        let coarse: Vec<f64> = self.values.iter().copied().step_by(COARSE).collect();
        let first = self.best_scatter(&coarse, expected);
        let value = self.value_for(expected, &first);
        self.best_scatter(&[value], expected)
    }

    fn best_scatter(&self, values: &[f64], expected: &Expected<'_>) -> Scatter {
        let all: Vec<Vec<Vec<f64>>> = values
            .iter()
            .map(|value| self.groups.iter().map(|group| Self::expected(group, *value, expected)).collect())
            .collect();
        let best = E::scatters().into_iter().map(|scatter| {
            let likelihoods: Vec<_> = self.groups.iter().map(|group| group.log_likelihood(scatter)).collect();
            let total = |expected: &Vec<Vec<f64>>| -> f64 {
                likelihoods.iter().zip(expected).map(|(likelihood, expected)| likelihood(expected)).sum()
            };
            (all.iter().map(total).fold(f64::NEG_INFINITY, f64::max), scatter)
        });
        best.max_by(|a, b| a.0.total_cmp(&b.0)).expect("there are scatters").1
    }

    /// By groups, the logarithm of the likelihood of each value.
    fn table(&self, expected: &Expected<'_>, scatter: &Scatter) -> Vec<Vec<f64>> {
        let row = |group: &E| {
            let likelihood = group.log_likelihood(*scatter);
            self.values.iter().map(|value| likelihood(&Self::expected(group, *value, expected))).collect()
        };
        self.groups.iter().map(row).collect()
    }

    /// Where 95 of 100 draws with replacement, of as many groups as tell something independently, have their summits; the same for the same table.
    fn bootstrap(&self, table: &[Vec<f64>]) -> (f64, f64) {
        let mut random = Rng::with_seed(1);
        let mut places: Vec<f64> = (0..DRAWS)
            .map(|_| {
                let rows = (0..table.len().div_ceil(E::sharing()))
                    .map(|_| table[random.usize(..table.len())].as_slice());
                summit(&sum(rows, self.values.len())).0
            })
            .collect();
        places.sort_by(f64::total_cmp);
        let outside = DRAWS / 40;
        (places[outside], places[DRAWS - 1 - outside])
    }
}

fn sum<'a>(rows: impl Iterator<Item = &'a [f64]>, length: usize) -> Vec<f64> {
    rows.fold(vec![0.0; length], |mut sum, row| {
        sum.iter_mut().zip(row).for_each(|(sum, value)| *sum += value);
        sum
    })
}

/// Where the highest value is, by the parabola through it and its neighbours, and how high that is.
fn summit(values: &[f64]) -> (f64, f64) {
    let top = (0..values.len()).max_by(|a, b| values[*a].total_cmp(&values[*b])).unwrap_or(0);
    if top == 0 || top + 1 == values.len() {
        return (to_f64(top), values[top]);
    }
    let (left, middle, right) = (values[top - 1], values[top], values[top + 1]);
    let bend = left - 2.0 * middle + right;
    if bend >= 0.0 {
        return (to_f64(top), middle);
    }
    let aside = 0.5 * (left - right) / bend;
    (to_f64(top) + aside, middle - 0.25 * (left - right) * aside)
}

/// The outermost places at which values are as high as a threshold, between them along straight lines.
fn crossings(values: &[f64], threshold: f64) -> (f64, f64) {
    let is_high = |value: &f64| *value >= threshold;
    let (Some(first), Some(last)) = (values.iter().position(is_high), values.iter().rposition(is_high))
    else {
        let (at, _) = summit(values);
        return (at - 1.0, at + 1.0);
    };
    let part =
        |inside: usize, outside: usize| (values[inside] - threshold) / (values[inside] - values[outside]);
    let low = if first == 0 { 0.0 } else { to_f64(first) - part(first, first - 1) };
    let high = if last + 1 == values.len() { to_f64(last) } else { to_f64(last) + part(last, last + 1) };
    (low, high)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use serde_json::Value;

    use super::*;
    use crate::toggle::circuit::Circuit;
    use crate::toggle::likelihood::Group;

    /// Steps, and what `scipy.stats`, `scipy.optimize` and sums in place of integrals say of them: `tests/python/steps.py`.
    struct Reference {
        table: Value,
        groups: Vec<Group>,
        scatter: Scatter,
    }

    fn numbers(value: &Value) -> Vec<f64> {
        serde_json::from_value(value.clone()).expect("numbers")
    }

    impl Reference {
        fn read() -> Self {
            let text = include_str!("../../../tests/reference/toggle_steps.json");
            let table: Value = serde_json::from_str(text).expect("JSON");
            let group = |group: &Value| {
                let [hz, nepers, variance] = ["hz", "nepers", "variance"].map(|key| numbers(&group[key]));
                let steps = hz.iter().zip(nepers).zip(variance);
                Group::new(steps.map(|((hz, nepers), variance)| Step { hz: *hz, nepers, variance }).collect())
            };
            let groups = table["groups"].as_array().expect("groups").iter().map(group).collect();
            let scatter: BTreeMap<String, f64> =
                serde_json::from_value(table["scatter"].clone()).expect("scatter");
            let scatter = Scatter { level: scatter["level"], tilt: scatter["tilt"], each: scatter["each"] };
            Self { table, groups, scatter }
        }

        fn expected(&self) -> impl Fn(f64, f64) -> f64 {
            let [ohms, added] =
                ["load_ohms", "added_ohms"].map(|key| self.table[key].as_f64().expect("ohms"));
            move |ln_farads, hz| {
                let circuit = Circuit {
                    total_farads: ln_farads.exp(),
                    siemens: 1.0 / ohms,
                    added_siemens: 1.0 / added,
                    added_farads: 0.0,
                };
                circuit.step(hz)
            }
        }
    }

    #[test]
    fn likelihoods_are_those_of_scipy() {
        let reference = Reference::read();
        let expected = reference.expected();
        let farads = numbers(&reference.table["farads"]);
        let mut sums = vec![(0.0, 0.0); farads.len()];
        for (number, group) in reference.groups.iter().enumerate() {
            let likelihood = group.log_likelihood(reference.scatter);
            let theirs = numbers(&reference.table["log_likelihood"][number]);
            for ((farads, theirs), sum) in farads.iter().zip(theirs).zip(&mut sums) {
                let ours = likelihood(&Search::expected(group, farads.ln(), &expected));
                // Laplace's method is off by the order of one over the number of partials, which is 14.
                assert_abs_diff_eq!(ours, theirs, epsilon = 0.15);
                *sum = (sum.0 + ours, sum.1 + theirs);
            }
        }
        // What an interval is made of: how far the sum falls beside the middle.
        for (ours, theirs) in &sums {
            let (fall, their_fall) = (ours - sums[3].0, theirs - sums[3].1);
            assert_abs_diff_eq!(fall, their_fall, epsilon = 0.1 + 0.03 * their_fall.abs());
        }
    }

    #[test]
    fn the_likeliest_is_that_of_scipy() {
        let reference = Reference::read();
        let search = Search::new(&reference.groups, 40e-12f64.ln(), 30e-9f64.ln(), 335);
        let found = search.value_for(&reference.expected(), &reference.scatter).exp();
        let theirs = reference.table["likeliest_farads"].as_f64().expect("farads");
        assert_relative_eq!(found, theirs, max_relative = 3e-3);
    }

    #[test]
    fn an_interval_holds_what_was_put_in() {
        let reference = Reference::read();
        let search = Search::new(&reference.groups, 40e-12f64.ln(), 30e-9f64.ln(), 335);
        let found = search.likeliest(&reference.expected());
        assert!((found.low..found.high).contains(&680e-12f64.ln()), "{found:?}");
        assert!(!found.is_at_end);
    }

    #[test]
    fn quantiles_are_those_of_scipy() {
        let reference = Reference::read();
        for (freedom, quantile) in reference.table["quantiles"].as_object().expect("quantiles") {
            let freedom: f64 = freedom.parse().expect("a number");
            let ours = StudentsT::new(0.0, 1.0, freedom).expect("more than none").inverse_cdf(UPPER);
            assert_relative_eq!(ours, quantile.as_f64().expect("a number"), max_relative = 1e-6);
        }
    }

    #[test]
    fn a_parabola_has_its_summit_and_its_crossings() {
        // -(x - 2.25)²: 0 at 2.25, and -1 at 1.25 and 3.25, as far as straight lines between values tell.
        let values: Vec<f64> = (0..6).map(|x| -(f64::from(x) - 2.25).powi(2)).collect();
        let (at, top) = summit(&values);
        assert_abs_diff_eq!(at, 2.25, epsilon = 1e-12);
        assert_abs_diff_eq!(top, 0.0, epsilon = 1e-12);
        let (low, high) = crossings(&values, -1.0);
        assert_abs_diff_eq!(low, 1.25, epsilon = 0.15);
        assert_abs_diff_eq!(high, 3.25, epsilon = 0.15);
    }
}
