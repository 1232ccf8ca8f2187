//! The steps by frequency, beside what the circuit makes of them.

use std::f64::consts::LN_10;

use super::circuit::Circuit;
use super::likelihood::{Scatter, Step};
use super::profile::Evidence;
use super::spectra::to_f64;
use crate::{Point, Series};

/// A nepers in dB.
const DB: f64 = 20.0 / LN_10;

/// Points are so much apart, in octaves.
const APART_OCTAVES: f64 = 0.25;

/// Means of all steps in each quarter of an octave, without what each switch has beside the circuit.
pub(crate) fn chart<E: Evidence>(groups: &[E], circuit: &Circuit, scatter: &Scatter) -> Vec<Series> {
    let mut steps: Vec<(f64, Step)> = Vec::new();
    for group in groups {
        let expected: Vec<f64> = group.steps().iter().map(|step| circuit.step(step.hz)).collect();
        let beside = group.beside(&expected, scatter);
        let cleared = group
            .steps()
            .iter()
            .zip(beside)
            .map(|(step, beside)| Step { nepers: step.nepers - beside, ..*step });
        steps.extend(cleared.map(|step| ((step.hz.log2() / APART_OCTAVES).floor(), step)));
    }
    steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let points = steps.chunk_by(|a, b| a.0 == b.0).map(|chunk| point(chunk, circuit, scatter)).collect();
    vec![Series { name: "switched", points }]
}

fn point(steps: &[(f64, Step)], circuit: &Circuit, scatter: &Scatter) -> Point {
    let weights = || steps.iter().map(|(_, step)| 1.0 / (step.variance + scatter.each.powi(2)));
    let weight: f64 = weights().sum();
    let mean = |of: &dyn Fn(&Step) -> f64| {
        steps.iter().zip(weights()).map(|((_, step), weight)| weight * of(step)).sum::<f64>() / weight
    };
    let nepers = mean(&|step| step.nepers);
    let scattered = mean(&|step| (step.nepers - nepers).powi(2)) / to_f64(steps.len());
    Point {
        hz: mean(&|step| step.hz.ln()).exp(),
        db: DB * nepers,
        error_db: DB * scattered.max(1.0 / weight).sqrt(),
        fitted_db: DB * mean(&|step| circuit.step(step.hz)),
    }
}
