//! From roots in `u` to digital roots in `z`, and to second-order factors.

use arrayvec::ArrayVec;
use rustfft::num_complex::Complex64;

use super::cascade::MOST_SECTIONS;
use super::quartic::{DIGITAL_ROOTS, P3, Q3, ROOTS_OF_Q, roots};
use crate::limits::MOST_ROOTS;
use crate::response::Root;

/// Analog roots farther out, in rad/sample, are brought to here, where they are flat in the band to the last digit and no power
/// of them overflows.
const FARTHEST: f64 = 1e7;

/// The factors of one side.
pub(super) type Factors = ArrayVec<Factor, MOST_SECTIONS>;

/// A second-order factor `δ² + c1 δ + c2`, `δ = z - 1`, of the numerator or the denominator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Factor {
    pub c1: f64,
    pub c2: f64,
    /// Its roots in `δ`, the one closer to `δ = 0` first.
    roots: [Complex64; 2],
}

impl Factor {
    /// Of two real roots.
    fn reals(a: f64, b: f64) -> Self {
        let (near, far) = if a.abs() <= b.abs() { (a, b) } else { (b, a) };
        Self { c1: -(near + far), c2: near * far, roots: [near.into(), far.into()] }
    }

    /// Of a pair, given where one of it is in `u`, and its radius in `z`.
    fn pair(u: Complex64, Radius { r, gap }: Radius) -> Self {
        // From z + 1/z = 2 - 4 u: (1 - z)² = -4 u z, hence c2 = |1 - z|² = 4 |u| |z|; and c1 - c2 = 1 - |z|², all
        // without a difference of near numbers.
        let c2 = 4.0 * u.norm() * r;
        let c1 = c2 + gap * (1.0 + r);
        let root = Complex64::new(-c1 / 2.0, (c2 - c1 * c1 / 4.0).max(0.0).sqrt());
        Self { c1, c2, roots: [root, root.conj()] }
    }

    /// The same with its roots brought inside the unit circle where rounding put them on it, by less than can be heard
    /// or measured.
    fn inside(self) -> Self {
        Self { c2: self.c2.min(self.c1 * (1.0 - 4.0 * f64::EPSILON)), ..self }
    }

    /// How close to the unit circle its outermost root is: `1 - |z|²`.
    pub fn margin(&self) -> f64 {
        let [near, far] = self.roots;
        if near.im != 0.0 {
            return self.c1 - self.c2;
        }
        let margin = |delta: f64| -delta * (2.0 + delta);
        margin(near.re).min(margin(far.re))
    }

    /// Whether its response has no corner and no resonance in the band: both roots well inside and on the left of the circle.
    pub fn is_smooth(&self) -> bool {
        self.c1 > 2.0 && self.margin() > 0.3
    }

    /// Its squared magnitude at `u`.
    pub fn power(&self, u: f64) -> f64 {
        factor_power(self.c1, self.c2, u)
    }

    /// How far apart the roots of two factors are, relative to their distance from `z = 1`: 0 (equal) to 2 (decades).
    pub fn distance(&self, other: &Self) -> f64 {
        let apart = |a: Complex64, b: Complex64| {
            let size = a.l1_norm() + b.l1_norm();
            if size > 0.0 { (a - b).l1_norm() / size } else { 0.0 }
        };
        apart(self.roots[0], other.roots[0]) + apart(self.roots[1], other.roots[1])
    }
}

/// `|δ² + c1 δ + c2|²` on the unit circle, where `δ = e^(j theta) - 1 = -2 u + j sin theta`, `sin² theta = 4 u (1 - u)`.
pub(super) fn factor_power(c1: f64, c2: f64, u: f64) -> f64 {
    let real = c2 - u * (4.0 - 8.0 * u + 2.0 * c1);
    let imaginary = c1 - 4.0 * u;
    real * real + 4.0 * u * (1.0 - u) * imaginary * imaginary
}

/// The radius of a root in `z` inside the unit circle, and its distance from the circle.
#[derive(Clone, Copy)]
struct Radius {
    r: f64,
    /// `1 - r`, to the last digit.
    gap: f64,
}

impl Radius {
    /// `z + 1/z = 2 - 4 u` maps circles around 0 in `z` to ellipses with the foci 0 and 1 in `u`, whose sum of distances is
    /// `|u| + |1 - u| = (r + 1/r) / 2 = 1 + e`.
    fn of(u: Complex64) -> Self {
        // |x + j y| - x, for positive x without cancellation.
        let over = |x: f64, y: f64| {
            let size = x.hypot(y);
            if x > 0.0 { y * y / (size + x) } else { size - x }
        };
        Self::of_excess(over(u.re, u.im) + over(1.0 - u.re, u.im))
    }

    /// For `e`, the excess of the sum over 1.
    fn of_excess(e: f64) -> Self {
        let outside = e + (e * (e + 2.0)).sqrt();
        let r = (1.0 + outside).recip();
        Self { r, gap: outside * r }
    }
}

/// The root in `δ = z - 1` on the real axis, and its radius in `z`, for a real `u` that is not between 0 and 1: below,
/// `z` is positive, above negative.
fn on_real_axis(u: f64) -> (f64, f64) {
    if u <= 0.0 {
        let Radius { r, gap } = Radius::of_excess(-2.0 * u);
        return (-gap, r);
    }
    let Radius { r, .. } = Radius::of_excess(2.0 * u - 2.0);
    (-1.0 - r, r)
}

/// The digital roots of one side of a ratio, the zeros or the poles.
#[derive(Default)]
pub(super) struct Side {
    reals: ArrayVec<f64, { 2 * MOST_SECTIONS }>,
    pairs: Factors,
}

impl Side {
    /// How many digital roots, four for each analog one.
    fn count(&self) -> usize {
        self.reals.len() + 2 * self.pairs.len()
    }

    /// Adds the digital roots of an analog one (or of a pair), and returns the size of `s - root` (of the product) as a multiple
    /// of that of `Π (1 - z_k e^(-j theta)) / Π (1 - z_q e^(-j theta))`, which stands for it; `z_q` are the roots of `q`.
    ///
    /// Since `|1 - z e^(-j theta)|² = (1 - z)² + 4 z u = 4 z (u - u_k)` and
    /// `|s - root|² T² = 4 P3 Π (u - u_k) / (Q3 Π (u - u_q))`, the square of the multiple is `P3 Π z_q / (Q3 Π z_k T²)`.
    ///
    /// Roots beyond what a cascade can hold are left out.
    pub fn add(&mut self, root: &Root, rate_hz: f64) -> f64 {
        if self.count() + DIGITAL_ROOTS * root.degree() > DIGITAL_ROOTS * MOST_ROOTS {
            return 1.0;
        }
        let shrink = (FARTHEST * rate_hz / root.natural_rad_s()).min(1.0);
        let (decay, ring) = (root.decay_rad_s * shrink / rate_hz, root.ring_rad_s * shrink / rate_hz);
        let places = roots(Complex64::new((decay - ring) * (decay + ring), 2.0 * decay * ring));
        let scale = rate_hz / shrink;
        let leading = P3 / Q3 * ROOTS_OF_Q.iter().map(|u| on_real_axis(*u).1).product::<f64>();
        if root.is_real() {
            let radii: f64 = places.iter().map(|u| self.add_real(u.re)).product();
            return scale * (leading / radii).sqrt();
        }
        let radii: f64 = places.iter().map(|u| self.add_pair(*u, root.decay_rad_s > 0.0)).product();
        scale * scale * leading / radii
    }

    /// Adds a real root, and returns its radius.
    fn add_real(&mut self, u: f64) -> f64 {
        let (delta, radius) = on_real_axis(u);
        self.reals.push(delta);
        radius
    }

    /// Adds a pair, and returns its radius.
    fn add_pair(&mut self, u: Complex64, decays: bool) -> f64 {
        let radius = Radius::of(u);
        let factor = Factor::pair(u, radius);
        self.pairs.push(if decays { factor.inside() } else { factor });
        radius.r
    }

    /// Where the other side has more roots, `1/q` of each of the surplus is left over: its spectral factor comes to this side, with
    /// `z = 0` to make it four.
    pub fn balance(&mut self, other: &Self) {
        while self.count() < other.count() {
            self.reals.extend(ROOTS_OF_Q.map(|u| on_real_axis(u).0));
            self.reals.push(-1.0);
        }
    }

    /// The roots in factors of second order, real ones with their neighbours.
    pub fn factors(mut self) -> Factors {
        self.reals.sort_unstable_by(|a, b| b.total_cmp(a));
        self.pairs.extend(self.reals.chunks_exact(2).map(|two| Factor::reals(two[0], two[1])));
        self.pairs
    }
}
