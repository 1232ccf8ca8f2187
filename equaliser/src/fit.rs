//! The settings that come closest to what is needed: least squares in dB over a logarithmic frequency axis, from many starts. Bells
//! come one at a time: each is tried all along the band, beside the best settings that were found without it. What was found is then
//! brought to the steps that a desk has.

use crate::desk::MOST_BELLS;
use crate::problem::Problem;
use crate::rounding::Rounding;
use crate::{Band, Desk, EqualiserError, Needed};

/// A bell is used if without it the rms of what is left would be more than this larger, in dB: less is not heard, and nobody sets it.
const ENOUGH_DB: f64 = 0.1;

/// Where controls start, as parts of their range, on a logarithmic scale.
const SHELF_STARTS: [f64; 3] = [0.1, 0.5, 0.9];
const SHELF_GAINS: [f64; 2] = [0.0, 1.0];
const BELL_STARTS: [f64; 9] = [0.05, 0.12, 0.2, 0.3, 0.42, 0.56, 0.7, 0.85, 0.97];
const Q_STARTS: [f64; 2] = [0.15, 0.65];
const PAIRS_Q: f64 = 0.4;

/// So many settings get another bell.
const KEPT: usize = 4;

/// Steps a control of the first search from a start, and of the last from where that led.
const FIRST_PATIENCE: usize = 5;
const LAST_PATIENCE: usize = 50;

/// Settings are the same if what they leave is this close, in dB.
const SAME_DB: f64 = 1e-4;

/// Settings, and what they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The low shelf, then as many bells as are worth it, from low to high.
    pub bands: Vec<Band>,
    /// The gain at all frequencies that goes with them, in dB.
    pub level_db: f64,
    /// Root mean square of what is left of what was asked for, in dB, each octave counting the same: of the best settings without a bell,
    /// with one, with two.
    pub rms_db: [f64; MOST_BELLS + 1],
}

impl Fit {
    /// The settings of `desk` that come closest to `needed`, as far as it may boost; the same for the same input.
    ///
    /// # Errors
    /// If the desk's limits are not in order.
    pub fn new(needed: &Needed, desk: &Desk) -> Result<Self, EqualiserError> {
        desk.check()?;
        let asked = needed.within(desk.most_boost_db);
        let thinned = asked.thinned();
        let search = Search { rough: Problem::new(&thinned, desk), fine: Problem::new(&asked, desk) };
        let rounding = Rounding::new(&asked, desk);
        let by_bells = search.by_bells().map(|solutions| rounding.best(&solutions));
        let rms_db = by_bells.each_ref().map(|solution| solution.rms_db);
        let least_db = rms_db.into_iter().fold(f64::INFINITY, f64::min);
        let enough = |solution: &Solution| solution.rms_db <= least_db + ENOUGH_DB;
        let chosen = by_bells.into_iter().find(enough).expect("the least is enough");
        Ok(Self { bands: chosen.bands, level_db: chosen.level_db, rms_db })
    }
}

/// Where one start led.
#[derive(Debug, Clone)]
pub(crate) struct Solution {
    pub bands: Vec<Band>,
    pub level_db: f64,
    pub rms_db: f64,
}

/// Searches at few points, and at all of them from where those lead.
struct Search<'a> {
    rough: Problem<'a>,
    fine: Problem<'a>,
}

impl Search<'_> {
    /// The best few without a bell, with one, with two; where there is no room for two, with one again.
    fn by_bells(&self) -> [Vec<Solution>; MOST_BELLS + 1] {
        let raw = SHELF_STARTS.map(|part| SHELF_GAINS.map(|gain| self.rough.shelf(part, gain))).concat();
        let shelf = self.best(raw.iter().map(|start| start.bands.clone()));
        let without: Vec<&Solution> = shelf.iter().chain(&raw).collect();
        let one_bell = self.best(without.iter().flat_map(|without| self.with_a_bell(without)));
        let two_bells = if self.rough.has_room_for_two() {
            let of_one_bell = one_bell.iter().flat_map(|without| self.with_a_bell(without));
            let pairs = without.iter().flat_map(|without| self.with_two_bells(without));
            self.best(of_one_bell.chain(pairs))
        } else {
            one_bell.clone()
        };
        [shelf, one_bell, two_bells]
    }

    /// Starts with another bell beside a solution.
    fn with_a_bell(&self, without: &Solution) -> Vec<Vec<Band>> {
        let with = |part: f64, q: f64| with_bells(without, &[self.rough.bell(without, part, q)]);
        BELL_STARTS.into_iter().flat_map(|part| Q_STARTS.map(|q| with(part, q))).collect()
    }

    /// Starts with two bells beside a solution without any, at all pairs of places.
    fn with_two_bells(&self, without: &Solution) -> Vec<Vec<Band>> {
        let bells = BELL_STARTS.map(|part| self.rough.bell(without, part, PAIRS_Q));
        let pair = |(i, j): (usize, usize)| with_bells(without, &[bells[j], bells[i]]);
        (0..bells.len()).flat_map(|i| (0..i).map(move |j| (i, j))).map(pair).collect()
    }

    /// The best few of where `starts` lead.
    fn best(&self, starts: impl IntoIterator<Item = Vec<Band>>) -> Vec<Solution> {
        let rough = starts.into_iter().map(|bands| self.rough.solved_from(&bands, FIRST_PATIENCE));
        let mut solutions: Vec<Solution> = rough.collect();
        solutions.sort_by(|a, b| a.rms_db.total_cmp(&b.rms_db));
        solutions.dedup_by(|a, b| a.rms_db - b.rms_db < SAME_DB);
        solutions.truncate(KEPT);
        solutions.iter().map(|solution| self.fine.solved_from(&solution.bands, LAST_PATIENCE)).collect()
    }
}

/// The bands of a solution and these bells, from low to high.
fn with_bells(without: &Solution, bells: &[Band]) -> Vec<Band> {
    let mut bands = [without.bands.as_slice(), bells].concat();
    bands[1..].sort_by(|a, b| a.hz.total_cmp(&b.hz));
    bands
}
