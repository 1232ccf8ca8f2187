//! How likely the steps of two neighbouring stretches are.
//!
//! As at a switch in a held note, all bands step by `u` and a tilt `t log2(f/400)` more; but the error of a band goes along with those of bands
//! near it, with the correlation `exp(-|d|/0.6)` of their distance `d` in octaves. All of it is Gaussian.

use std::f64::consts::PI;

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use crate::toggle::likelihood::{Scatter, Step};
use crate::toggle::profile::{Evidence, Likelihood};

/// How far apart bands know little of each other, in octaves.
const ALIKE_OCTAVES: f64 = 0.6;

/// The tilt turns about this, in Hz.
const PIVOT_HZ: f64 = 400.0;

/// What scatters are tried, in nepers: nobody rubs alike twice.
const LEVELS: [f64; 3] = [0.03, 0.1, 0.3];
const TILTS: [f64; 4] = [0.003, 0.01, 0.03, 0.1];
const EACH: [f64; 5] = [0.01, 0.03, 0.06, 0.1, 0.2];

/// Steps between two neighbouring stretches.
pub(crate) struct Pair {
    steps: Vec<Step>,
    octaves: Vec<f64>,
}

impl Pair {
    pub fn new(steps: Vec<Step>) -> Self {
        let octaves = steps.iter().map(|step| (step.hz / PIVOT_HZ).log2()).collect();
        Self { steps, octaves }
    }

    /// What of a step is not the measurement's: level and tilt, and what bands have alike.
    fn covariance(&self, scatter: &Scatter, is_all: bool) -> DMatrix<f64> {
        let count = self.steps.len();
        DMatrix::from_fn(count, count, |row, column| {
            let (a, b) = (self.octaves[row], self.octaves[column]);
            let common = scatter.level.powi(2) + scatter.tilt.powi(2) * a * b;
            let near = scatter.each.powi(2) * (-(a - b).abs() / ALIKE_OCTAVES).exp();
            let own = if row == column { self.steps[row].variance } else { 0.0 };
            if is_all { common + near + own } else { common }
        })
    }

    fn factor(&self, scatter: &Scatter) -> Cholesky<f64, Dyn> {
        self.covariance(scatter, true).cholesky().expect("variances are positive")
    }

    fn errors(&self, expected: &[f64]) -> DVector<f64> {
        let errors = self.steps.iter().zip(expected).map(|(step, expected)| step.nepers - expected);
        DVector::from_iterator(self.steps.len(), errors)
    }
}

impl Evidence for Pair {
    fn steps(&self) -> &[Step] {
        &self.steps
    }

    fn log_likelihood(&self, scatter: Scatter) -> Likelihood<'_> {
        let factor = self.factor(&scatter);
        let constant: f64 =
            factor.l_dirty().diagonal().iter().map(|value| -value.ln() - 0.5 * (2.0 * PI).ln()).sum();
        Box::new(move |expected| {
            let errors = self.errors(expected);
            constant - 0.5 * errors.dot(&factor.solve(&errors))
        })
    }

    fn beside(&self, expected: &[f64], scatter: &Scatter) -> Vec<f64> {
        let errors = self.factor(scatter).solve(&self.errors(expected));
        (self.covariance(scatter, false) * errors).iter().copied().collect()
    }

    /// A stretch is the second of one pair and the first of the next, and errs to the same side in both.
    fn sharing() -> usize {
        2
    }

    fn scatters() -> Vec<Scatter> {
        Scatter::all(&LEVELS, &TILTS, &EACH)
    }
}
