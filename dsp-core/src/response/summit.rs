//! The highest place of a ratio of polynomials, by its roots.
//!
//! Against `u = ln w` the slope of `ln |K|²` is a sum with one term for each root, and each term changes only around its root: of a real
//! one from 0 to 2 within some octaves, of a pair of damping `zeta` at `1 ± zeta` times its natural frequency. Between places that are
//! dense on the scale of every root nearby the slope changes its sign at most once, and where it falls through zero is a summit.

use arrayvec::ArrayVec;

use super::Shape;
use crate::limits::MOST_ROOTS;
use crate::polynomial::Root;

/// So far above all corners the response is that of the top of the band, to the last digit.
const FAR: f64 = 1e9;

/// So far below and above all corners a summit may still stand out by a rounding, where zeros and poles all but balance.
const BEYOND: f64 = 1e5;

/// Around every root it is looked at these multiples of its distance from the origin, and at their inverses.
const AROUND: [f64; 5] = [1.25, 1.6, 2.2, 4.0, 12.0];

/// And around a pair at `1 ± zeta / 2`, `1 ± zeta`, then each twice as far, so often at most.
const DOUBLINGS: i32 = 9;

/// Beyond that much of its natural frequency a pair is like any other root.
const FAR_OFF: f64 = 0.25;

/// Halvings that narrow a summit down.
const STEPS: u32 = 40;

const MOST_PLACES: usize = 2 + 2 * MOST_ROOTS * (1 + 2 * AROUND.len() + 2 * DOUBLINGS as usize);

/// Where `|K|` is largest, in rad/s: zero for DC, far above all corners for the top.
pub(super) fn loudest_rad_s(shape: &Shape) -> f64 {
    let places = places(shape);
    let top = FAR * places.last().copied().unwrap_or(1.0).max(1.0);
    // Each place with the one before, if it still rises there.
    let mut before = None;
    let summits = places.iter().filter_map(|&w| {
        let rises = slope(shape, w) > 0.0;
        let risen = std::mem::replace(&mut before, rises.then_some(w));
        risen.filter(|_| !rises).map(|low| summit(shape, low, w))
    });
    let all = [0.0, top].into_iter().chain(summits);
    let louder = |best: (f64, f64), w: f64| {
        let power = shape.power_at(w);
        if power > best.1 { (w, power) } else { best }
    };
    all.fold((0.0, f64::NEG_INFINITY), louder).0
}

/// Where to look, from low to high.
fn places(shape: &Shape) -> ArrayVec<f64, MOST_PLACES> {
    let mut places = ArrayVec::new();
    let roots = || shape.zeros.iter().chain(shape.poles.iter()).filter(|root| root.natural_rad_s() > 0.0);
    for root in roots() {
        let w = root.natural_rad_s();
        places.push(w);
        AROUND.iter().for_each(|ratio| places.extend([w / ratio, w * ratio]));
        let zeta = root.decay_rad_s / w;
        let offsets = (-1..DOUBLINGS - 1).map(|k| zeta * 2f64.powi(k));
        let near = offsets.filter(|offset| !root.is_real() && (1e-9..FAR_OFF).contains(offset));
        near.for_each(|offset| places.extend([w * (1.0 - offset), w * (1.0 + offset)]));
    }
    let naturals = || roots().map(Root::natural_rad_s);
    if let Some(lowest) = naturals().min_by(f64::total_cmp) {
        places.extend([lowest / BEYOND, naturals().fold(0.0, f64::max) * BEYOND]);
    }
    places.sort_unstable_by(f64::total_cmp);
    places
}

/// The summit between a place where it rises and one where it does not.
fn summit(shape: &Shape, mut low: f64, mut high: f64) -> f64 {
    for _ in 0..STEPS {
        let middle = (low * high).sqrt();
        if slope(shape, middle) > 0.0 { low = middle } else { high = middle }
    }
    (low * high).sqrt()
}

/// `d ln |K|² / d ln w`.
fn slope(shape: &Shape, w: f64) -> f64 {
    let sum = |roots: &[Root]| roots.iter().map(|root| slope_of(root, w)).sum::<f64>();
    sum(&shape.zeros) - sum(&shape.poles)
}

/// Of `|jw - root|²`: `2 w²/(w² + d²)` of a real root, and of a pair the same of `(n² - w²)² + 4 d² w²`.
fn slope_of(root: &Root, w: f64) -> f64 {
    let natural = root.natural_rad_s();
    if natural == 0.0 {
        return 2.0;
    }
    // Relative to the root, so that nothing overflows.
    let x = (w / natural).powi(2);
    if root.is_real() {
        return 2.0 * x / (x + 1.0);
    }
    let damping = 4.0 * (root.decay_rad_s / natural).powi(2);
    2.0 * x * (2.0 * (x - 1.0) + damping) / ((x - 1.0).powi(2) + damping * x)
}
