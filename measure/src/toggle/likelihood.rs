//! How likely steps are, given what the circuit makes of them.
//!
//! Of a switch, `step_k = L(f_k) + u + t log2(f_k/400) + e_k`: all partials step by `u` and a tilt `t` more, since a note is not the same after
//! half a second, and each has an error of its own. `u` and `t` are Gaussian, `e` is Student's t with 4 degrees of freedom, of a scale whose
//! square is the measured variance and `each` squared. `u` and `t` are integrated away by Laplace's method around their likeliest values, which
//! iterated reweighting finds, each error with the weight `5/(4 + (e/scale)²)`.

use std::f64::consts::PI;

use super::profile::{Evidence, Likelihood};

/// The tilt turns about this, in Hz.
const PIVOT_HZ: f64 = 400.0;

/// Degrees of freedom of an error.
const FREEDOM: f64 = 4.0;

/// Reweighting stops here at the latest, and once nothing moves by so much, in nepers.
const MOST_ROUNDS: usize = 20;
const SETTLED: f64 = 1e-6;

/// By how much a partial steps when a load is switched in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Step {
    pub hz: f64,
    pub nepers: f64,
    /// Of the measurement, in nepers squared.
    pub variance: f64,
}

impl Step {
    fn octaves(&self) -> f64 {
        (self.hz / PIVOT_HZ).log2()
    }
}

/// How much a switch has beside the circuit, as standard deviations in nepers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scatter {
    /// Of all partials alike.
    pub level: f64,
    /// An octave.
    pub tilt: f64,
    /// Of each partial by itself.
    pub each: f64,
}

impl Scatter {
    /// Each with each.
    pub fn all(levels: &[f64], tilts: &[f64], eachs: &[f64]) -> Vec<Self> {
        let of = |level, tilt| eachs.iter().map(move |each| Self { level, tilt, each: *each });
        let pairs = levels.iter().flat_map(|level| tilts.iter().map(move |tilt| (*level, *tilt)));
        pairs.flat_map(|(level, tilt)| of(level, tilt)).collect()
    }
}

/// The likeliest level and tilt of a switch, and the logarithm of the likelihood of all its steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Switch {
    pub level: f64,
    pub tilt: f64,
    pub log_likelihood: f64,
}

/// Steps at one switch, made ready to be compared with many circuits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Group {
    pub steps: Vec<Step>,
    octaves: Vec<f64>,
}

impl Group {
    pub fn new(steps: Vec<Step>) -> Self {
        let octaves = steps.iter().map(Step::octaves).collect();
        Self { steps, octaves }
    }

    /// Against what the circuit makes of each step, in nepers.
    pub fn against(&self, expected: &[f64], scatter: &Scatter) -> Switch {
        let rows: Vec<Row> = self
            .steps
            .iter()
            .zip(expected)
            .zip(&self.octaves)
            .map(|((step, expected), octaves)| Row {
                value: step.nepers - expected,
                octaves: *octaves,
                square: step.variance + scatter.each.powi(2),
            })
            .collect();
        let (level, tilt) = settled(&rows, scatter);
        let errors: f64 = rows.iter().map(|row| log_student(row.error(level, tilt), row.square)).sum();
        let prior = log_normal(level, scatter.level) + log_normal(tilt, scatter.tilt);
        let sharpness = sharpness(&rows, scatter, level, tilt);
        let log_likelihood = errors + prior + (2.0 * PI).ln() - 0.5 * sharpness.ln();
        Switch { level, tilt, log_likelihood }
    }
}

/// A step less what is expected of it, and the square of its error's scale.
struct Row {
    value: f64,
    octaves: f64,
    square: f64,
}

impl Row {
    fn error(&self, level: f64, tilt: f64) -> f64 {
        self.value - level - tilt * self.octaves
    }
}

/// The normal equations of level and tilt, with what is known of them before.
struct Normal {
    matrix: [f64; 3],
    right: [f64; 2],
}

impl Normal {
    fn of(rows: &[Row], scatter: &Scatter, weight: impl Fn(&Row) -> f64) -> Self {
        let mut normal =
            Self { matrix: [scatter.level.powi(-2), 0.0, scatter.tilt.powi(-2)], right: [0.0, 0.0] };
        for row in rows {
            let weight = weight(row);
            normal.matrix[0] += weight;
            normal.matrix[1] += weight * row.octaves;
            normal.matrix[2] += weight * row.octaves * row.octaves;
            normal.right[0] += weight * row.value;
            normal.right[1] += weight * row.octaves * row.value;
        }
        normal
    }

    fn determinant(&self) -> f64 {
        self.matrix[0] * self.matrix[2] - self.matrix[1] * self.matrix[1]
    }

    fn solve(&self) -> (f64, f64) {
        let Self { matrix: [first, both, second], right } = self;
        let determinant = self.determinant();
        (
            (second * right[0] - both * right[1]) / determinant,
            (first * right[1] - both * right[0]) / determinant,
        )
    }
}

/// The likeliest level and tilt.
fn settled(rows: &[Row], scatter: &Scatter) -> (f64, f64) {
    let (mut level, mut tilt) = (0.0, 0.0);
    for _ in 0..MOST_ROUNDS {
        let weight = |row: &Row| (FREEDOM + 1.0) / (FREEDOM * row.square + row.error(level, tilt).powi(2));
        let next: (f64, f64) = Normal::of(rows, scatter, weight).solve();
        let moved = (next.0 - level).abs().max((next.1 - tilt).abs());
        (level, tilt) = next;
        if moved < SETTLED {
            break;
        }
    }
    (level, tilt)
}

/// The determinant of minus the second derivatives of the likelihood's logarithm, `5 (4 s² - e²)/(4 s² + e²)²` of an error. Where outliers take
/// that away, Fisher's information, which is what is expected of it.
fn sharpness(rows: &[Row], scatter: &Scatter, level: f64, tilt: f64) -> f64 {
    let seen = Normal::of(rows, scatter, |row| {
        let (wide, square) = (FREEDOM * row.square, row.error(level, tilt).powi(2));
        (FREEDOM + 1.0) * (wide - square) / (wide + square).powi(2)
    });
    if seen.matrix[0] > 0.0 && seen.determinant() > 0.0 {
        return seen.determinant();
    }
    Normal::of(rows, scatter, |row| INFORMATION / row.square).determinant()
}

/// Fisher's information on where Student's density with 4 degrees of freedom lies, for a scale of 1: (4 + 1)/(4 + 3).
const INFORMATION: f64 = 5.0 / 7.0;

/// The logarithm of Student's density with 4 degrees of freedom and a scale by its square: `3/8 (1 + x²/4)^(-5/2)` over the scale.
fn log_student(error: f64, square: f64) -> f64 {
    0.375f64.ln() - 0.5 * square.ln() - 2.5 * (error * error / (FREEDOM * square)).ln_1p()
}

/// The logarithm of a Gaussian density by its standard deviation.
fn log_normal(value: f64, deviation: f64) -> f64 {
    -deviation.ln() - 0.5 * (2.0 * PI).ln() - 0.5 * (value / deviation).powi(2)
}

/// What scatters are tried, of the level, an octave and each partial: a note's level slips by a few per cent as a rule, and seldom by more than 3 dB.
const LEVELS: [f64; 4] = [0.01, 0.03, 0.1, 0.3];
const TILTS: [f64; 5] = [0.003, 0.01, 0.03, 0.1, 0.3];
const EACH: [f64; 5] = [0.003, 0.01, 0.03, 0.1, 0.3];

impl Evidence for Group {
    fn steps(&self) -> &[Step] {
        &self.steps
    }

    fn log_likelihood(&self, scatter: Scatter) -> Likelihood<'_> {
        Box::new(move |expected| self.against(expected, &scatter).log_likelihood)
    }

    fn beside(&self, expected: &[f64], scatter: &Scatter) -> Vec<f64> {
        let Switch { level, tilt, .. } = self.against(expected, scatter);
        self.octaves.iter().map(|octaves| level + tilt * octaves).collect()
    }

    fn sharing() -> usize {
        1
    }

    fn scatters() -> Vec<Scatter> {
        Scatter::all(&LEVELS, &TILTS, &EACH)
    }
}
