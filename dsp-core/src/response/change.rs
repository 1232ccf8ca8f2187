use std::f64::consts::TAU;

use arrayvec::ArrayVec;
use rustfft::num_complex::Complex64;

use super::ceiling::{Ceiling, bounded, lowered};
use super::{Shape, Transfer};
use crate::limits::MOST_ORDER;
use crate::polynomial::{Polynomial, Root, Roots, roots};

/// A zero and a pole closer than this, relative to their distance from the origin, are one: they differ only because the
/// same circuit was written in two ways (`100k || 150k` and `60k`), and by rounding.
pub(super) const SAME_ROOT: f64 = 1e-10;

/// A gain closer to one than this is one, for the same reason.
const SAME_GAIN: f64 = 1e-12;

type Factors = ArrayVec<Polynomial, { MOST_ORDER + 1 }>;

/// What turns a take recorded through one chain into the same take through another: `K = H_B / H_A`, a ratio of products
/// of polynomials. Factors that come from the same parts cancel as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    numerators: Factors,
    denominators: Factors,
    sign: f64,
    undoes: bool,
}

impl Change {
    /// From the response that a take was recorded with to the one that it is to be heard with.
    pub fn new(from: &Transfer, to: &Transfer) -> Self {
        let (from_h, to_h) = (&from.factored, &to.factored);
        let mut change = Self {
            numerators: to_h.zeros.iter().chain([&from_h.denominator]).copied().collect(),
            denominators: from_h.zeros.iter().chain([&to_h.denominator]).copied().collect(),
            sign: from.sign * to.sign,
            undoes: to.unloaded && !from.unloaded,
        };
        change.cancel();
        change
    }

    fn cancel(&mut self) {
        let denominators = &mut self.denominators;
        self.numerators.retain(|factor| {
            let same = denominators.iter().position(|other| other == factor);
            same.map(|index| denominators.swap_remove(index)).is_none()
        });
    }

    /// `K` at `hz`, without a ceiling.
    pub fn at(&self, hz: f64) -> Complex64 {
        let s = Complex64::new(0.0, TAU * hz);
        let product = |factors: &Factors| factors.iter().map(|factor| factor.at(s)).product::<Complex64>();
        self.sign * product(&self.numerators) / product(&self.denominators)
    }

    /// `K` by its roots, within the ceiling.
    pub fn shape(&self, ceiling: Ceiling) -> Shape {
        let gain = |factors: &Factors| factors.iter().map(Polynomial::leading).product::<f64>();
        let all = |factors: &Factors| -> Roots { factors.iter().flat_map(|f| iter(roots(f))).collect() };
        let mut shape = Shape {
            gain: gain(&self.numerators) / gain(&self.denominators),
            zeros: all(&self.numerators),
            poles: all(&self.denominators),
        };
        cancel_roots(&mut shape, SAME_ROOT);
        let bound = match ceiling {
            Ceiling::Db(db) => Some((db, true)),
            Ceiling::OfUndo(db) => Some((db, self.undoes)),
            Ceiling::Off => None,
        };
        if let Some((ceiling_db, everywhere)) = bound {
            let ceiling = 10f64.powf(ceiling_db / 20.0);
            if everywhere && !self.undoes {
                shape = lowered(shape, ceiling);
            }
            shape = bounded(shape, ceiling, everywhere);
            cancel_roots(&mut shape, SAME_ROOT);
        }
        if (shape.gain - 1.0).abs() <= SAME_GAIN {
            shape.gain = 1.0;
        }
        shape.gain *= self.sign;
        shape
    }
}

fn iter(roots: Roots) -> impl Iterator<Item = Root> {
    (0..roots.len()).map(move |index| roots[index])
}

/// Takes out every zero with the pole that it cancels, no more than this part of its distance from the origin away.
pub(super) fn cancel_roots(shape: &mut Shape, same_root: f64) {
    let same = |a: &Root, b: &Root| {
        let apart = (a.decay_rad_s - b.decay_rad_s).hypot(a.ring_rad_s - b.ring_rad_s);
        a.is_real() == b.is_real() && apart <= same_root * a.natural_rad_s().max(b.natural_rad_s())
    };
    for index in (0..shape.zeros.len()).rev() {
        if let Some(pole) = shape.poles.iter().position(|pole| same(pole, &shape.zeros[index])) {
            shape.zeros.remove(index);
            shape.poles.remove(pole);
        }
    }
}
