//! The least and the greatest value of a figure over a cube, each coordinate from -1 to 1.
//!
//! A figure that rises or falls with each coordinate has them at corners, and corners are looked at first: all of them up to six
//! coordinates. Then come the edges from the best corners: along a narrow ridge across coordinates, as a resonance makes it, the summit is
//! where the ridge leaves the cube, on an edge. From the best places a climb goes along one coordinate after another, and along the way that a
//! round of them went. Where a summit lies within a line it is narrowed down by golden sections.

/// Up to this many coordinates all corners are looked at.
const ALL_CORNERS: usize = 6;

/// Corners whose edges are looked along: all of them up to four coordinates.
const EDGED: usize = 16;

/// Otherwise so many, besides those that each coordinate by itself points to.
const SOME_CORNERS: u64 = 64;

/// Rounds of a climb.
const ROUNDS: usize = 40;

/// Places on a line, apart evenly.
const PLACES: u32 = 8;

/// Golden sections of a line's best stretch: the place is then known to a millionth.
const SECTIONS: u32 = 28;

/// A round that gains less, relative to the figure, is the last one.
const LEAST_GAIN: f64 = 1e-12;

/// How much is done to find an extreme.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Climbs, from the best places so far.
    pub climbs: usize,
    /// About so many evaluations at most.
    pub budget: usize,
}

/// A place in the cube, and the figure there.
type Found = (Vec<f64>, f64);

/// Where a figure is least and where it is greatest, with `count` coordinates.
pub(super) fn extremes(count: usize, effort: Effort, figure: impl Fn(&[f64]) -> f64) -> [Found; 2] {
    [lowest(count, effort, &figure), highest(count, effort, &figure)]
}

pub(super) fn lowest(count: usize, effort: Effort, figure: impl Fn(&[f64]) -> f64) -> Found {
    let (at, height) = highest(count, effort, |at: &[f64]| -figure(at));
    (at, -height)
}

pub(super) fn highest(count: usize, effort: Effort, figure: impl Fn(&[f64]) -> f64) -> Found {
    Search { figure, left: effort.budget }.highest(count, effort.climbs)
}

struct Search<F> {
    figure: F,
    left: usize,
}

impl<F: Fn(&[f64]) -> f64> Search<F> {
    fn look(&mut self, at: &[f64]) -> f64 {
        self.left = self.left.saturating_sub(1);
        let height = (self.figure)(at);
        // Where two pickups cancel, a difference of losses is nothing that can be compared.
        if height.is_nan() { f64::NEG_INFINITY } else { height }
    }

    fn highest(&mut self, count: usize, climbs: usize) -> Found {
        let middle = vec![0.0; count];
        let mut found = vec![(middle.clone(), self.look(&middle))];
        for corner in self.corners(count) {
            // The middle and one corner are looked at whatever the budget.
            if self.left == 0 && found.len() > 1 {
                break;
            }
            let height = self.look(&corner);
            found.push((corner, height));
        }
        found.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        let is_all = 1 << count.min(32) <= EDGED;
        let corners = found.iter().filter(|(at, _)| at[0] != 0.0).take(EDGED);
        for corner in corners.cloned().collect::<Vec<_>>() {
            // Of all corners each edge has two.
            for index in (0..count).filter(|index| !is_all || corner.0[*index] < 0.0) {
                found.push(self.along(corner.clone(), &axis(count, index)));
            }
        }
        found.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        let climbed: Vec<Found> = found.iter().take(climbs).map(|start| self.climb(start.clone())).collect();
        let best = climbed.into_iter().max_by(|(_, a), (_, b)| a.total_cmp(b));
        best.unwrap_or((middle, f64::NAN))
    }

    fn corners(&mut self, count: usize) -> Vec<Vec<f64>> {
        let corner =
            |bits: u64| (0..count).map(|i| if bits >> (i % 64) & 1 == 1 { 1.0 } else { -1.0 }).collect();
        if count <= ALL_CORNERS {
            return (0..1 << count).map(corner).collect();
        }
        let pointed: Vec<f64> = (0..count)
            .map(|index| {
                let mut at = vec![0.0; count];
                at[index] = 1.0;
                let up = self.look(&at);
                at[index] = -1.0;
                if up >= self.look(&at) { 1.0 } else { -1.0 }
            })
            .collect();
        // Multiples of the golden ratio's part of 2^64 are spread evenly in every bit.
        let some = (1..=SOME_CORNERS).map(|k| corner(k.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 16));
        std::iter::once(pointed).chain(some).collect()
    }

    fn climb(&mut self, start: Found) -> Found {
        let mut best = start;
        for _ in 0..ROUNDS {
            let before = best.clone();
            for index in 0..best.0.len() {
                let way = axis(best.0.len(), index);
                best = self.along(best, &way);
            }
            let way: Vec<f64> = best.0.iter().zip(&before.0).map(|(now, before)| now - before).collect();
            if way.iter().filter(|step| **step != 0.0).count() > 1 {
                best = self.along(best, &way);
            }
            let gain = best.1 - before.1;
            if self.left == 0 || gain.is_nan() || gain <= LEAST_GAIN * best.1.abs() {
                break;
            }
        }
        best
    }

    /// The highest place on a line through one, within the cube.
    fn along(&mut self, best: Found, way: &[f64]) -> Found {
        let reach = |sign: f64| {
            let steps = best.0.iter().zip(way).filter(|(_, way)| **way != 0.0);
            steps
                .map(|(at, way)| ((sign * way).signum() - at) / way)
                .map(f64::abs)
                .fold(f64::INFINITY, f64::min)
        };
        let (low, high) = (-reach(-1.0), reach(1.0));
        let at = |t: f64| -> Vec<f64> {
            best.0.iter().zip(way).map(|(at, way)| (at + t * way).clamp(-1.0, 1.0)).collect()
        };
        if self.left == 0 || high - low <= 1e-9 {
            return best;
        }
        let place =
            |i: u32| if i == PLACES { high } else { low + (high - low) * f64::from(i) / f64::from(PLACES) };
        let mut top = (0.0, best.1);
        for t in (0..=PLACES).map(place) {
            let height = self.look(&at(t));
            if height > top.1 {
                top = (t, height);
            }
        }
        let step = (high - low) / f64::from(PLACES);
        if top.0 > low && top.0 < high {
            top = self.golden(&at, (top.0 - step).max(low), (top.0 + step).min(high), top);
        }
        if top.1 > best.1 { (at(top.0), top.1) } else { best }
    }

    fn golden(&mut self, at: &impl Fn(f64) -> Vec<f64>, low: f64, high: f64, top: (f64, f64)) -> (f64, f64) {
        let golden = (5f64.sqrt() - 1.0) / 2.0;
        let (mut low, mut high, mut top) = (low, high, top);
        for _ in 0..SECTIONS {
            let (left, right) = (high - golden * (high - low), low + golden * (high - low));
            let (of_left, of_right) = (self.look(&at(left)), self.look(&at(right)));
            for candidate in [(left, of_left), (right, of_right)] {
                if candidate.1 > top.1 {
                    top = candidate;
                }
            }
            if of_left < of_right { low = left } else { high = right }
        }
        top
    }
}

/// Along one coordinate.
fn axis(count: usize, index: usize) -> Vec<f64> {
    (0..count).map(|i| if i == index { 1.0 } else { 0.0 }).collect()
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    const EFFORT: Effort = Effort { climbs: 4, budget: 4_000 };

    /// Of a sum of straight lines the extremes are at corners: the sum of their slopes' sizes, to the bit where slopes are powers
    /// of two.
    #[test]
    fn corners_are_exact_however_many_coordinates() {
        for count in [1, 2, 5, 6, 7, 20, 100] {
            let slope = |i: usize| if i % 3 == 1 { -0.25 } else { 0.5 };
            let sum = |at: &[f64]| at.iter().enumerate().map(|(i, at)| slope(i) * at).sum::<f64>();
            let greatest: f64 = (0..count).map(|i| slope(i).abs()).sum();
            let [(_, low), (at, high)] = extremes(count, EFFORT, sum);
            assert_eq!((low, high), (-greatest, greatest), "{count}");
            assert!(at.iter().enumerate().all(|(i, at)| *at == slope(i).signum()));
        }
    }

    /// A narrow summit within the cube, and a narrow ridge across it that rises along its length (Rosenbrock's valley upside down,
    /// its top at (0.5, 0.25)).
    #[test]
    fn summits_and_ridges_within_are_found() {
        let summit = |at: &[f64]| {
            let off: f64 = (1_u32..).zip(at).map(|(i, at)| (at - 0.1 * f64::from(i)).powi(2)).sum();
            (1.0 + 400.0 * off).recip()
        };
        for count in 1..=4 {
            let [_, (_, high)] = extremes(count, EFFORT, summit);
            assert!((high - 1.0).abs() < 1e-6, "{count}: {high}");
        }
        let valley = |at: &[f64]| -((0.5 - at[0]).powi(2) + 25.0 * (at[1] - at[0] * at[0]).powi(2));
        let [_, (at, high)] = extremes(2, EFFORT, valley);
        assert!(high > -1e-3, "{high} at {at:?}");
        // A sharp resonance of two values, the higher the larger one of them is, and a third one (found by draws: 0.8 dB were missing).
        let resonance = |at: &[f64]| {
            let (l, c, r) = (1.0 + 0.5 * at[0], 1.0 + 0.5 * at[1], 1.0 + 0.2 * at[2]);
            c / ((c - 1.0 / l).powi(2) + (0.05 / r).powi(2)).sqrt()
        };
        let [_, (at, high)] = extremes(3, EFFORT, resonance);
        assert!((high / (1.5 * 1.2 / 0.05) - 1.0).abs() < 1e-6, "{high} at {at:?}");
        let ridge = |at: &[f64]| at[0] - 100.0 * (at[0] + at[1] - 0.3).abs();
        let [_, (at, high)] = extremes(2, EFFORT, ridge);
        assert!((high - 1.0).abs() < 1e-3, "{high} at {at:?}");
    }

    /// Whatever is asked for, it ends.
    #[test]
    fn the_budget_bounds_the_work() {
        for count in [1, 3, 8, 40] {
            let looked = Cell::new(0);
            let rough = |at: &[f64]| {
                looked.set(looked.get() + 1);
                at.iter().map(|at| (50.0 * at).sin()).sum::<f64>()
            };
            highest(count, Effort { climbs: 4, budget: 100 }, rough);
            assert!(
                looked.get() <= 100 + 2 * count + 2 * SECTIONS as usize + PLACES as usize,
                "{count}: {}",
                looked.get()
            );
        }
    }
}
