//! From the best settings of all to the best that a desk can be set to: each control steps up or down, or all of them at once, as long as that
//! comes closer.

use crate::band::{response_db, warped};
use crate::filters::audible_hz;
use crate::fit::Solution;
use crate::steps::multiples;
use crate::{Band, BandKind, Desk, Needed};

/// Levels are told, and faders read, in tenths of a dB.
const LEVELS_A_DB: f64 = 10.0;

/// What a dB above the most boost costs, or an octave that bells are too close by, in dB rms: more than anything gains.
const FORBIDDEN: f64 = 1e3;

/// Walks are short; this bounds them.
const MOST_STEPS: usize = 200;

/// The positions of a band's controls, each from low to high.
struct Dials {
    hz: Vec<f64>,
    gain_db: Vec<f64>,
    q: Vec<f64>,
}

/// What the desk can be set to, and what it is asked for.
pub(crate) struct Rounding<'a> {
    asked: &'a Needed,
    shelf: Dials,
    bell: Dials,
    /// On the prototypes' axis: the points that are asked for, then those beside them where it may not boost too much.
    warped_hz: Vec<f64>,
    /// The most that bands and level may give.
    most_db: f64,
}

/// A band at a position, if there is one, and its response in dB.
struct Placed {
    band: Option<Band>,
    db: Vec<f64>,
}

impl Dials {
    /// The positions next to those that a band stands at, its own included.
    fn around(&self, band: &Band) -> Vec<Band> {
        let near = |positions: &[f64], value: f64| {
            let nearest = nearest(positions, value);
            positions[nearest.saturating_sub(1)..positions.len().min(nearest + 2)].to_vec()
        };
        let mut all = Vec::new();
        for hz in near(&self.hz, band.hz) {
            for gain_db in near(&self.gain_db, band.gain_db) {
                all.extend(near(&self.q, band.q).into_iter().map(|q| Band { hz, gain_db, q, ..*band }));
            }
        }
        all
    }

    fn nearest(&self, band: &Band) -> Band {
        let at = |positions: &[f64], value: f64| positions[nearest(positions, value)];
        Band {
            hz: at(&self.hz, band.hz),
            gain_db: at(&self.gain_db, band.gain_db),
            q: at(&self.q, band.q),
            ..*band
        }
    }
}

impl<'a> Rounding<'a> {
    pub fn new(asked: &'a Needed, desk: &Desk) -> Self {
        let rate_hz = asked.rate_hz();
        let points = || asked.points().iter().map(|(hz, _)| *hz);
        let top_hz = points().fold(0.0, f64::max);
        let hz = |(low, high): (f64, f64)| desk.hz_steps.between((low.min(top_hz), high.min(top_hz)));
        let gain_db = multiples(desk.gain_step_db, (-desk.most_gain_db, desk.most_gain_db));
        let q = desk.q_steps.between(desk.bell_q);
        let beside = audible_hz().filter(|hz| *hz < rate_hz / 2.0);
        Self {
            shelf: Dials {
                hz: hz(desk.shelf_hz),
                gain_db: gain_db.clone(),
                q: vec![Band::low_shelf(1.0, 0.0).q],
            },
            bell: Dials { hz: hz(desk.bell_hz), gain_db, q },
            warped_hz: points().chain(beside).map(|hz| warped(hz, rate_hz)).collect(),
            most_db: asked.flat_db() + desk.most_boost_db,
            asked,
        }
    }

    /// The best settings around any of these solutions.
    pub fn best(&self, solutions: &[Solution]) -> Solution {
        let nearby = solutions.iter().map(|solution| self.nearby(&solution.bands));
        let (bands, _) = nearby.min_by(|a, b| a.1.total_cmp(&b.1)).expect("there are solutions");
        let given = self.given(&bands);
        let level_db = self.level_db(|index| given[index]);
        Solution { rms_db: self.rms_db(|index| given[index] + level_db), bands, level_db }
    }

    /// The best settings around these, none of which a step of any control would make better, and what they cost.
    fn nearby(&self, bands: &[Band]) -> (Vec<Band>, f64) {
        let bands = bands.iter().map(|band| self.dials(band).nearest(band)).collect();
        let mut best: (Vec<Band>, f64) = (bands, f64::INFINITY);
        for _ in 0..MOST_STEPS {
            let next = self.next(&best.0);
            if next.1 >= best.1 {
                break;
            }
            best = next;
        }
        best
    }

    fn dials(&self, band: &Band) -> &Dials {
        match band.kind {
            BandKind::LowShelf => &self.shelf,
            BandKind::Bell => &self.bell,
        }
    }

    /// The best of all settings one step or none away, and what it costs.
    fn next(&self, bands: &[Band]) -> (Vec<Band>, f64) {
        let nothing = || vec![Placed { band: None, db: vec![0.0; self.warped_hz.len()] }];
        let placed = |index: usize| {
            let around =
                |band: &Band| self.dials(band).around(band).into_iter().map(|band| self.placed(band));
            bands.get(index).map_or_else(nothing, |band| around(band).collect())
        };
        let [shelves, lower, upper] = [0, 1, 2].map(placed);
        let mut best = (Vec::new(), f64::INFINITY);
        for shelf in &shelves {
            for first in &lower {
                for second in &upper {
                    let cost = self.cost([shelf, first, second]);
                    if cost < best.1 {
                        best = (
                            [shelf, first, second].into_iter().filter_map(|placed| placed.band).collect(),
                            cost,
                        );
                    }
                }
            }
        }
        best
    }

    fn placed(&self, band: Band) -> Placed {
        Placed { band: Some(band), db: self.given(&[band]) }
    }

    /// The bands' response in dB at all points.
    fn given(&self, bands: &[Band]) -> Vec<f64> {
        let response_db = response_db(bands, self.asked.rate_hz());
        self.warped_hz.iter().map(|x| response_db(*x)).collect()
    }

    /// The rms of what is left in dB, and what is forbidden.
    fn cost(&self, placed: [&Placed; 3]) -> f64 {
        let [a, b, c] = placed.map(|placed| placed.db.as_slice());
        let given = |index: usize| a[index] + b[index] + c[index];
        let level_db = self.level_db(given);
        let most_db = (0..self.warped_hz.len()).map(given).fold(f64::NEG_INFINITY, f64::max);
        let too_much_db = (most_db + level_db - self.most_db).max(0.0);
        let too_close = match [placed[1].band, placed[2].band] {
            [Some(lower), Some(upper)] => Desk::octaves_too_close(lower.hz, upper.hz),
            _ => 0.0,
        };
        self.rms_db(|index| given(index) + level_db) + FORBIDDEN * (too_much_db + too_close)
    }

    /// The best level beside what is given at each point.
    fn level_db(&self, given: impl Fn(usize) -> f64) -> f64 {
        let points = self.asked.points();
        let mean =
            points.iter().enumerate().map(|(index, (_, db))| db - given(index)).sum::<f64>() / count(points);
        (mean * LEVELS_A_DB).round() / LEVELS_A_DB
    }

    fn rms_db(&self, given: impl Fn(usize) -> f64) -> f64 {
        let points = self.asked.points();
        let squares = points.iter().enumerate().map(|(index, (_, db))| (db - given(index)).powi(2));
        (squares.sum::<f64>() / count(points)).sqrt()
    }
}

#[expect(clippy::cast_precision_loss, reason = "some hundred points")]
fn count(points: &[(f64, f64)]) -> f64 {
    points.len() as f64
}

/// Which of the positions is nearest to a value.
fn nearest(positions: &[f64], value: f64) -> usize {
    let above = positions.partition_point(|position| *position < value).min(positions.len() - 1);
    let below = above.saturating_sub(1);
    if value - positions[below] < positions[above] - value { below } else { above }
}
