//! The values of a circuit that explain the levels of all steps best.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};

use super::bands::Band;
use super::circuit::{Node, Source, level_db};

/// No level is known better than this, in dB.
const FLOOR_DB: f64 = 0.03;
/// Relative changes that end a search, and steps a value.
const TOLERANCE: f64 = 1e-10;
const PATIENCE: usize = 40;

/// A circuit with one more value must be better by so much of Schwarz's criterion: strong evidence (R. Kass, A. Raftery, Journal of the American
/// Statistical Association 90, 1995; from memory).
pub(super) const BETTER: f64 = 10.0;

/// One circuit in several steps, and what was measured of them.
#[derive(Debug, Clone)]
pub(super) struct Problem<'a> {
    pub source: Source,
    /// What the reference was recorded into.
    pub reference: Node,
    pub steps: Vec<(Node, &'a [Band])>,
    /// What is known of a value before: its place, its logarithm and the error of that.
    pub before: Option<(usize, f64, f64)>,
}

/// What came closest.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    /// Logarithms of the values.
    pub ln: Vec<f64>,
    /// Their standard errors, by the errors of the bands, or by what is left if that is more.
    pub error: Vec<f64>,
    /// Sum of the softened squares.
    pub cost: f64,
    /// Bands in all.
    pub count: usize,
    /// What was measured less what the circuit gives, in dB, step by step.
    pub left_db: Vec<Vec<f64>>,
}

impl Problem<'_> {
    /// The best of where the starts lead, logarithms of values.
    pub fn solved(&self, starts: &[Vec<f64>]) -> Fit {
        let fits = starts.iter().map(|start| {
            let search = Search { problem: self, ln: DVector::from_column_slice(start) };
            LevenbergMarquardt::new().with_tol(TOLERANCE).with_patience(PATIENCE).minimize(search).0.fit()
        });
        fits.min_by(|a, b| a.cost.total_cmp(&b.cost)).expect("there is a start")
    }
}

impl Fit {
    /// Schwarz's criterion for errors of unknown size (G. Schwarz, Annals of Statistics 6, 1978): of two circuits the one with less is to be preferred.
    #[expect(clippy::cast_precision_loss, reason = "some hundred bands")]
    pub fn criterion(&self) -> f64 {
        let count = self.count as f64;
        count * (self.cost.max(count) / count).ln() + self.ln.len() as f64 * count.ln()
    }

    /// What three quarters of the bands of one step are within, in dB.
    pub fn most_left_db(&self, step: usize) -> f64 {
        let mut left: Vec<f64> = self.left_db[step].iter().map(|db| db.abs()).collect();
        left.sort_by(f64::total_cmp);
        left.get(left.len() * 3 / 4).copied().unwrap_or(0.0)
    }
}

struct Search<'a> {
    problem: &'a Problem<'a>,
    ln: DVector<f64>,
}

impl Search<'_> {
    /// What is left and the derivatives of what is fitted, band by band, with the weight of the band.
    fn each(&self, mut told: impl FnMut(usize, f64, f64, &[f64])) {
        let Problem { source, reference, steps, .. } = self.problem;
        let mut row = 0;
        let mut gradient = vec![0.0; self.ln.len()];
        for (node, bands) in steps {
            for band in *bands {
                gradient.fill(0.0);
                let fitted = level_db(node, reference, *source, band.hz, self.ln.as_slice(), &mut gradient);
                let weight = 1.0 / band.error_db.hypot(FLOOR_DB);
                told(row, band.db - fitted, weight, &gradient);
                row += 1;
            }
        }
    }

    fn count(&self) -> usize {
        self.problem.steps.iter().map(|(_, bands)| bands.len()).sum()
    }

    fn rows(&self) -> usize {
        self.count() + usize::from(self.problem.before.is_some())
    }

    fn fit(&self) -> Fit {
        let residuals = self.residuals().expect("always some");
        let cost = residuals.norm_squared();
        let jacobian = self.jacobian().expect("always one");
        let count = self.count();
        #[expect(clippy::cast_precision_loss, reason = "some hundred bands")]
        let by_degree = cost / count.saturating_sub(self.ln.len()).max(1) as f64;
        let inverse = (jacobian.transpose() * &jacobian).try_inverse();
        let error = |place: usize| {
            inverse.as_ref().map_or(f64::INFINITY, |inverse| {
                (inverse[(place, place)].max(0.0) * by_degree.max(1.0)).sqrt()
            })
        };
        let mut left = Vec::with_capacity(count);
        self.each(|_, db, _, _| left.push(db));
        let mut left = left.into_iter();
        let left_db =
            self.problem.steps.iter().map(|(_, bands)| left.by_ref().take(bands.len()).collect()).collect();
        Fit {
            ln: self.ln.as_slice().to_vec(),
            error: (0..self.ln.len()).map(error).collect(),
            cost,
            count,
            left_db,
        }
    }
}

/// The square root of the soft absolute value, `2 (√(1 + r²) - 1)`, with the residual's sign, and its derivative.
fn soft(residual: f64) -> (f64, f64) {
    let root = residual.hypot(1.0);
    // 2 (√(1 + r²) - 1) = 2 r² / (√(1 + r²) + 1)
    let softened = residual * (2.0 / (root + 1.0)).sqrt();
    // Of the square it is 2 r / √(1 + r²); of its root that over twice the root.
    (softened, ((root + 1.0) / 2.0).sqrt() / root)
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Search<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, ln: &DVector<f64>) {
        self.ln.copy_from(ln);
    }

    fn params(&self) -> DVector<f64> {
        self.ln.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let mut residuals = DVector::zeros(self.rows());
        self.each(|row, db, weight, _| residuals[row] = soft(db * weight).0);
        if let Some((place, ln, error)) = self.problem.before {
            residuals[self.count()] = (ln - self.ln[place]) / error;
        }
        Some(residuals)
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut jacobian = DMatrix::zeros(self.rows(), self.ln.len());
        self.each(|row, db, weight, gradient| {
            let slope = -soft(db * weight).1 * weight;
            gradient.iter().enumerate().for_each(|(column, by)| jacobian[(row, column)] = slope * by);
        });
        if let Some((place, _, error)) = self.problem.before {
            jacobian[(self.count(), place)] = -1.0 / error;
        }
        Some(jacobian)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By the formula itself, and its derivative by central differences.
    #[test]
    fn softened_squares_are_soft_absolute_values() {
        for residual in [-30.0, -1.0, -1e-3, 0.0, 0.2, 4.0] {
            let (softened, slope) = soft(residual);
            let expected = 2.0 * ((1.0 + residual * residual).sqrt() - 1.0);
            assert!((softened * softened - expected).abs() < 1e-9, "{residual}");
            let numerical = (soft(residual + 1e-6).0 - soft(residual - 1e-6).0) / 2e-6;
            assert!((slope - numerical).abs() < 1e-6, "{residual}: {slope}, {numerical}");
        }
    }
}
