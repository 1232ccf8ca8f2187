//! The fit as a least-squares problem.
//!
//! Limits are kept by a change of variables: a control is `middle + half · sin(free)`, so that it reaches its stops and moves
//! smoothly everywhere else. The level is free as well: the best one is the mean of what is left, so that it is taken out of the residuals
//! and out of the columns of the Jacobian.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};

use crate::band::{Prototype, Sensitivity, response_db, warped};
use crate::desk::APART;
use crate::fit::Solution;
use crate::{Band, BandKind, Desk, Needed};

/// Relative changes of the sum of squares and of the controls that end a search.
const TOLERANCE: f64 = 1e-9;

/// A control starts no closer to its stops: at a stop nothing pulls it away.
const CLOSEST_TO_STOP: f64 = 0.95;

/// Controls: corner and gain of the shelf; centre, gain and Q of a bell.
const OF_SHELF: usize = 2;
const OF_BELL: usize = 3;

/// The range of a control; frequencies and Q by their logarithm.
#[derive(Debug, Clone, Copy)]
struct Range {
    middle: f64,
    half: f64,
}

impl Range {
    fn new((low, high): (f64, f64)) -> Self {
        Self { middle: 0.5 * (low + high), half: 0.5 * (high - low) }
    }

    fn logarithmic((low, high): (f64, f64)) -> Self {
        Self::new((low.ln(), high.ln()))
    }

    /// At a part of the way from its lower to its upper end.
    fn part(&self, part: f64) -> f64 {
        self.middle + self.half * (2.0 * part - 1.0)
    }

    fn value(&self, free: f64) -> f64 {
        self.middle + self.half * free.sin()
    }

    fn ends(&self) -> (f64, f64) {
        (self.middle - self.half, self.middle + self.half)
    }

    fn clamp(&self, value: f64) -> f64 {
        let (low, high) = self.ends();
        value.clamp(low, high)
    }

    fn slope(&self, free: f64) -> f64 {
        self.half * free.cos()
    }

    fn free(&self, value: f64) -> f64 {
        if self.half == 0.0 {
            return 0.0;
        }
        ((value - self.middle) / self.half).clamp(-CLOSEST_TO_STOP, CLOSEST_TO_STOP).asin()
    }
}

/// What every start has in common.
#[derive(Debug, Clone)]
pub(crate) struct Problem<'a> {
    needed: &'a Needed,
    /// The points' frequencies on the prototypes' axis.
    warped_hz: Vec<f64>,
    shelf: [Range; OF_SHELF],
    bell: [Range; OF_BELL],
}

impl<'a> Problem<'a> {
    pub fn new(needed: &'a Needed, desk: &Desk) -> Self {
        let top_hz = needed.points().last().map_or(0.0, |(hz, _)| *hz);
        // No band above what is fitted, where at low sample rates there would be no filter.
        let within = |(low, high): (f64, f64)| Range::logarithmic((low.min(top_hz), high.min(top_hz)));
        let gain = Range::new((-desk.most_gain_db, desk.most_gain_db));
        Self {
            needed,
            warped_hz: needed.points().iter().map(|(hz, _)| warped(*hz, needed.rate_hz())).collect(),
            shelf: [within(desk.shelf_hz), gain],
            bell: [within(desk.bell_hz), gain, Range::logarithmic(desk.bell_q)],
        }
    }

    /// A shelf to start with, at a part of the way between its limits, with a part of the gain that is needed at the lowest point.
    pub fn shelf(&self, part: f64, gain_part: f64) -> Solution {
        let points = self.needed.points();
        let gain_db = gain_part * (points[0].1 - mean(points.iter().map(|(_, db)| *db)));
        let bands = vec![Band::low_shelf(self.shelf[0].part(part).exp(), self.shelf[1].clamp(gain_db))];
        let given = response_db(&bands, self.needed.rate_hz());
        let left = self.warped_hz.iter().zip(points).map(|(x, (_, db))| db - given(*x));
        Solution { level_db: mean(left), rms_db: f64::INFINITY, bands }
    }

    /// A bell to start with beside `solution`, with the gain that is left to do where it is.
    pub fn bell(&self, solution: &Solution, part: f64, q_part: f64) -> Band {
        let hz = self.bell[0].part(part).exp();
        let points = self.needed.points();
        let nearest = points.partition_point(|(point_hz, _)| *point_hz < hz).min(points.len() - 1);
        let given = response_db(&solution.bands, self.needed.rate_hz());
        let left_db = points[nearest].1 - given(self.warped_hz[nearest]) - solution.level_db;
        Band::bell(hz, left_db, self.bell[2].part(q_part).exp())
    }

    /// Whether there is room for two bells apart from each other.
    pub fn has_room_for_two(&self) -> bool {
        2.0 * self.bell[0].half >= APART.ln()
    }

    /// The ranges of the bells in `bands`, from low to high. Of two each keeps to its side of the middle between them.
    fn of_bells(&self, bells: &[Band]) -> Vec<Range> {
        let [hz, gain, q] = self.bell;
        let [lower, upper] = bells else { return bells.iter().flat_map(|_| self.bell).collect() };
        let ((low, high), apart) = (hz.ends(), 0.5 * APART.ln());
        let middle = (0.5 * (lower.hz * upper.hz).ln()).max(low + apart).min(high - apart);
        let ranges = [(low, middle - apart), (middle + apart, high)];
        ranges.into_iter().flat_map(|range| [Range::new(range), gain, q]).collect()
    }

    /// Where the solver gets to from `bands`, a shelf and at most two bells from low to high, in so many steps a control.
    pub fn solved_from(&self, bands: &[Band], patience: usize) -> Solution {
        let ranges: Vec<Range> = self.shelf.into_iter().chain(self.of_bells(&bands[1..])).collect();
        let of_bells = bands[1..].iter().flat_map(|bell| [bell.hz.ln(), bell.gain_db, bell.q.ln()]);
        let controls = [bands[0].hz.ln(), bands[0].gain_db].into_iter().chain(of_bells);
        let free = ranges.iter().zip(controls).map(|(range, control)| range.free(control));
        let free = DVector::from_vec(free.collect());
        let search = Search { needed: self.needed, warped_hz: &self.warped_hz, ranges, free };
        LevenbergMarquardt::new().with_tol(TOLERANCE).with_patience(patience).minimize(search).0.solution()
    }
}

/// One search of the solver's.
#[derive(Debug, Clone)]
struct Search<'a> {
    needed: &'a Needed,
    warped_hz: &'a [f64],
    /// Of the controls of the shelf, then of the bells.
    ranges: Vec<Range>,
    free: DVector<f64>,
}

impl Search<'_> {
    fn bands(&self) -> Vec<Band> {
        let controls: Vec<f64> =
            self.ranges.iter().zip(self.free.iter()).map(|(range, free)| range.value(*free)).collect();
        let (shelf, bells) = controls.split_at(OF_SHELF);
        let bell = |controls: &[f64]| Band::bell(controls[0].exp(), controls[1], controls[2].exp());
        std::iter::once(Band::low_shelf(shelf[0].exp(), shelf[1]))
            .chain(bells.chunks_exact(OF_BELL).map(bell))
            .collect()
    }

    /// What is left at each point, before the level is taken out: needed less given.
    fn left(&self) -> Vec<f64> {
        let given = response_db(&self.bands(), self.needed.rate_hz());
        self.warped_hz.iter().zip(self.needed.points()).map(|(x, (_, db))| db - given(*x)).collect()
    }

    fn solution(&self) -> Solution {
        let left = self.left();
        let level_db = mean(left.iter().copied());
        let rms_db = mean(left.iter().map(|db| (db - level_db).powi(2))).sqrt();
        Solution { bands: self.bands(), level_db, rms_db }
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Search<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, free: &DVector<f64>) {
        self.free.copy_from(free);
    }

    fn params(&self) -> DVector<f64> {
        self.free.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let left = DVector::from_vec(self.left());
        let level_db = left.mean();
        Some(left.add_scalar(-level_db))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let rate_hz = self.needed.rate_hz();
        let mut jacobian = DMatrix::zeros(self.warped_hz.len(), self.ranges.len());
        let mut column = 0;
        for band in self.bands() {
            let prototype = Prototype::new(&band, rate_hz);
            // A shelf's Q stands still.
            let controls = if band.kind == BandKind::LowShelf { OF_SHELF } else { OF_BELL };
            for (row, x) in self.warped_hz.iter().enumerate() {
                let Sensitivity { by_ln_hz, by_gain_db, by_ln_q } = prototype.sensitivity(*x);
                for (offset, by) in [by_ln_hz, by_gain_db, by_ln_q].into_iter().take(controls).enumerate() {
                    jacobian[(row, column + offset)] = -by;
                }
            }
            column += controls;
        }
        let of_controls = self.ranges.iter().zip(self.free.iter());
        for (mut column, (range, free)) in jacobian.column_iter_mut().zip(of_controls) {
            let level = column.mean();
            column.add_scalar_mut(-level);
            column *= range.slope(*free);
        }
        Some(jacobian)
    }
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "some hundred points")]
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

#[cfg(test)]
mod tests {
    use levenberg_marquardt::differentiate_numerically;

    use super::*;

    /// The solver's own numerical derivative.
    #[test]
    fn the_jacobian_is_the_derivative() {
        let needed = Needed::new(55.0, 48e3, |hz| 10.0 * (1.0 + (732.0 / hz).powi(2)).log10()).unwrap();
        let problem = Problem::new(&needed, &Desk::default());
        let mut search = Search {
            needed: &needed,
            warped_hz: &problem.warped_hz,
            ranges: [problem.shelf.as_slice(), &problem.bell, &problem.bell].concat(),
            free: DVector::from_vec(vec![0.3, 0.5, -0.9, 0.2, 0.4, 0.8, -0.3, -0.2]),
        };
        let exact = search.jacobian().unwrap();
        let numerical = differentiate_numerically(&mut search).unwrap();
        assert!((&exact - &numerical).amax() < 1e-5 * exact.amax(), "{}", (exact - numerical).amax());
    }
}
