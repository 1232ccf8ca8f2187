//! The ceiling: no frequency is boosted by more.
//!
//! An undone response has a pole wherever the loaded one has a zero: at the origin, where a high-pass has one, two for a
//! transformer; nowhere near at the top, where a low-pass has none, so that the ratio rises without end. A change to a higher load has them
//! far below its zeros. Each end has one corner: poles
//! below the lower one are moved up to it (`m` at the origin: `(s/(s + wc))^m`), poles above the upper one, also those that are
//! missing, down to it (`(wt/(s + wt))^d`), so far that the boost at DC and at the top equals the ceiling.

use super::Shape;
use super::summit::loudest_rad_s;
use crate::polynomial::{Root, Roots};

/// The most boost that a change may apply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ceiling {
    /// No frequency is boosted by more than this many dB, more than zero.
    Db(f64),
    /// The same of a change to the unloaded pickup only; another one is exact but where it would rise without end. The rule that
    /// everything had before states of format 4.
    OfUndo(f64),
    /// Exact, with poles at DC.
    Off,
}

impl Ceiling {
    /// In dB; `None` if it is off.
    pub const fn db(self) -> Option<f64> {
        match self {
            Self::Db(db) | Self::OfUndo(db) => Some(db),
            Self::Off => None,
        }
    }

    /// Of another height, with the same rule.
    #[must_use]
    pub const fn with_db(self, db: f64) -> Self {
        match self {
            Self::OfUndo(_) => Self::OfUndo(db),
            Self::Db(_) | Self::Off => Self::Db(db),
        }
    }
}

impl Default for Ceiling {
    /// 24 dB.
    fn default() -> Self {
        Self::Db(24.0)
    }
}

/// What a boost may be over the ceiling by rounding.
const ROUNDING: f64 = 1e-9;

/// A pair damped to this quality factor rings no more.
const LEAST_Q: f64 = 0.501;

/// The least by which a pair is damped at a time, and how often.
const LEAST_STEP: f64 = 1.03;
const MOST_DAMPINGS: u32 = 24;

/// Gives up what `shape` boosts at every frequency alike, as far as that keeps it to a boost of `ceiling`: of a volume that was turned down
/// the level is lost then, which any gain gives back, and not the tone.
pub(super) fn lowered(mut shape: Shape, ceiling: f64) -> Shape {
    let over = shape.boost() / ceiling;
    if over > 1.0 {
        let inverse = Shape { gain: shape.gain.recip(), zeros: shape.poles, poles: shape.zeros };
        shape.gain /= over.min(inverse.boost().recip()).max(1.0);
    }
    shape
}

/// Keeps `shape` to a boost of `ceiling`, a plain factor: everywhere, or only where it would rise without end.
pub(super) fn bounded(mut shape: Shape, ceiling: f64, everywhere: bool) -> Shape {
    shape = lower_end(shape, ceiling, everywhere);
    shape = upper_end(shape, ceiling, everywhere);
    // A first-order response is highest at one of its ends.
    if everywhere && shape.as_first_order().is_none() {
        shape = damped(shape, ceiling);
    }
    shape
}

/// Moves real poles up to one corner, the lowest first, until the boost at DC is the ceiling: `everywhere` as many as that takes,
/// else only those at the origin.
fn lower_end(mut shape: Shape, ceiling: f64, everywhere: bool) -> Shape {
    let gain_at_dc = shape.gain * product(&shape.zeros);
    let at_origin = shape.poles.iter().filter(|pole| pole.natural_rad_s() == 0.0).count();
    if gain_at_dc <= ceiling * product(&shape.poles) || (at_origin == 0 && !everywhere) {
        return shape;
    }
    let poles = shape.poles.as_mut_slice();
    // Real ones first, then by size.
    poles.sort_unstable_by(|a, b| {
        (a.ring_rad_s, a.decay_rad_s)
            .partial_cmp(&(b.ring_rad_s, b.decay_rad_s))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let real = if everywhere { poles.iter().filter(|pole| pole.is_real()).count() } else { at_origin };
    let corner_of = |poles: &[Root], moved: usize| {
        let rest: f64 = poles[moved..].iter().map(size).product();
        (gain_at_dc / (ceiling * rest)).powf(count(moved).recip())
    };
    let mut moved = at_origin.max(1).min(real);
    while moved < real && corner_of(poles, moved) > poles[moved].decay_rad_s {
        moved += 1;
    }
    if moved > 0 {
        let corner_rad_s = corner_of(poles, moved);
        poles[..moved].fill(Root::real(corner_rad_s));
    }
    shape
}

/// Adds the poles that are missing at the top, at one corner at which the boost there is the ceiling; `everywhere` it also moves as
/// many of the highest down to that corner as it takes. The gain at low frequencies stays.
fn upper_end(mut shape: Shape, ceiling: f64, everywhere: bool) -> Shape {
    let missing = shape.zeros.degree().saturating_sub(shape.poles.degree());
    let balanced = shape.zeros.degree() == shape.poles.degree();
    if missing == 0 && !(everywhere && balanced && shape.gain > ceiling) {
        return shape;
    }
    let poles = shape.poles.as_mut_slice();
    poles.sort_unstable_by(|a, b| b.natural_rad_s().total_cmp(&a.natural_rad_s()));
    let corner_of = |poles: &[Root], moved: usize| {
        let degree = missing + poles[..moved].iter().map(Root::degree).sum::<usize>();
        let sizes: f64 = poles[..moved].iter().map(size).product();
        (ceiling * sizes / shape.gain).powf(count(degree).recip())
    };
    let mut moved = usize::from(missing == 0).min(poles.len());
    while everywhere && moved < poles.len() && corner_of(poles, moved) < poles[moved].natural_rad_s() {
        moved += 1;
    }
    let corner_rad_s = corner_of(poles, moved);
    for pole in &mut poles[..moved] {
        let scale = corner_rad_s / pole.natural_rad_s();
        *pole = Root { decay_rad_s: pole.decay_rad_s * scale, ring_rad_s: pole.ring_rad_s * scale };
    }
    (0..missing).for_each(|_| shape.poles.push(Root::real(corner_rad_s)));
    shape.gain = ceiling;
    shape
}

/// Damps the pairs of poles that ring up beyond the ceiling, the loudest first; what is still above it then lowers the whole.
fn damped(mut shape: Shape, ceiling: f64) -> Shape {
    for _ in 0..MOST_DAMPINGS {
        let loudest = loudest_rad_s(&shape);
        let over = shape.power_at(loudest).sqrt() / ceiling;
        if over <= 1.0 + ROUNDING {
            return shape;
        }
        let rings = |pole: &&mut Root| !pole.is_real() && pole.q() > LEAST_Q;
        let apart = |pole: &Root| (pole.natural_rad_s() / loudest).ln().abs();
        let poles = shape.poles.as_mut_slice().iter_mut();
        let Some(pole) = poles.filter(rings).min_by(|a, b| apart(a).total_cmp(&apart(b))) else { break };
        // Near its resonance the response falls with the decay; the least step makes sure that it ends.
        let natural = pole.natural_rad_s();
        let decay_rad_s = (pole.decay_rad_s * over.max(LEAST_STEP)).min(natural / (2.0 * LEAST_Q));
        *pole = Root::pair(decay_rad_s, (natural * natural - decay_rad_s * decay_rad_s).sqrt());
    }
    let over = shape.boost() / ceiling;
    shape.gain /= over.max(1.0);
    shape
}

/// Distance from the origin, of a pair the product of both.
fn size(root: &Root) -> f64 {
    if root.is_real() { root.decay_rad_s } else { root.natural_rad_s().powi(2) }
}

fn product(roots: &Roots) -> f64 {
    roots.iter().map(size).product()
}

#[expect(clippy::cast_precision_loss, reason = "at most the roots of a shape")]
fn count(n: usize) -> f64 {
    n as f64
}
