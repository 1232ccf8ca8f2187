//! All roots of a polynomial at once, by the iteration of Aberth and Ehrlich from starting values on the circles of the
//! Newton polygon (D. Bini, "Numerical computation of polynomial zeros by means of Aberth's method", 1996; from memory). A
//! circuit's corners may lie ten decades apart; the polygon tells each decade's roots apart from the start.

use std::f64::consts::TAU;

use arrayvec::ArrayVec;
use rustfft::num_complex::Complex64;

use super::{Polynomial, Root, Roots};
use crate::limits::MOST_ORDER;

type List<T> = ArrayVec<T, MOST_ORDER>;

/// More than any circuit was seen to need (12).
const MOST_STEPS: usize = 80;

/// A root is found when its correction is smaller than this part of it.
const FOUND: f64 = 4.0 * f64::EPSILON;

/// A root whose imaginary part is smaller than this part of it is real: rounding alone moves it so far.
const REAL: f64 = 1e-11;

/// The roots of a polynomial all of whose roots lie in the left half plane or at the origin, as those of a circuit without
/// sources do. What rounding puts beyond the axis is set back.
pub(crate) fn roots(polynomial: &Polynomial) -> Roots {
    let at_origin = polynomial.roots_at_origin();
    let rest = polynomial.divided_by_s(at_origin);
    let mut found: Roots = (0..at_origin).map(|_| Root::real(0.0)).collect();
    match *rest.coefficients() {
        [_] => {}
        [c0, c1] => found.push(Root::real(c0 / c1)),
        [c0, c1, c2] => quadratic(c0, c1, c2).iter().for_each(|root| found.push(*root)),
        _ => sort_out(&aberth(&rest)).iter().for_each(|root| found.push(*root)),
    }
    found
}

/// `c2 s² + c1 s + c0`, without cancellation.
fn quadratic(c0: f64, c1: f64, c2: f64) -> ArrayVec<Root, 2> {
    let half = 0.5 * c1 / c2;
    let product = c0 / c2;
    let discriminant = half.mul_add(half, -product);
    if discriminant < 0.0 {
        return ArrayVec::from_iter([Root::pair(half.max(0.0), (-discriminant).sqrt())]);
    }
    let far = half + discriminant.sqrt();
    ArrayVec::from([Root::real(product / far), Root::real(far)])
}

fn aberth(polynomial: &Polynomial) -> List<Complex64> {
    // In x = s / scale the first and the last coefficient have the same size, which keeps powers within range.
    let c = polynomial.coefficients();
    let degree = count(polynomial.degree());
    let scale = ((c[0] / polynomial.leading()).abs().ln() / degree).exp();
    let scaled: ArrayVec<f64, { MOST_ORDER + 1 }> =
        c.iter().scan(1.0, |power, c| Some(c * std::mem::replace(power, *power * scale))).collect();
    let mut roots = starting_values(&scaled);
    let mut found: List<bool> = roots.iter().map(|_| false).collect();
    for _ in 0..MOST_STEPS {
        for k in 0..roots.len() {
            if found[k] {
                continue;
            }
            let x = roots[k];
            let newton = newton(&scaled, x);
            let others: Complex64 =
                roots.iter().enumerate().filter(|(j, _)| *j != k).map(|(_, other)| (x - other).inv()).sum();
            let step = newton / (Complex64::ONE - newton * others);
            if step.is_finite() {
                roots[k] = x - step;
            }
            found[k] = !step.is_finite() || step.norm_sqr() <= FOUND * FOUND * x.norm_sqr();
        }
        if found.iter().all(|found| *found) {
            break;
        }
    }
    roots.iter().map(|root| root * scale).collect()
}

/// `p(x) / p'(x)`, from the reversed polynomial outside the unit circle, where powers would swamp the small coefficients.
fn newton(c: &[f64], x: Complex64) -> Complex64 {
    let horner = |x: Complex64, c: &mut dyn Iterator<Item = &f64>| {
        c.fold((Complex64::ZERO, Complex64::ZERO), |(value, slope), &c| (value * x + c, slope * x + value))
    };
    if x.norm_sqr() <= 1.0 {
        let (value, slope) = horner(x, &mut c.iter().rev());
        return value / slope;
    }
    let inverse = x.inv();
    let (value, slope) = horner(inverse, &mut c.iter());
    // p'/p = (n - q'/q / x) / x
    (inverse * (Complex64::from(count(c.len() - 1)) - inverse * slope / value)).inv()
}

/// On each edge of the upper convex hull of `(k, ln |c_k|)` as many points as it is wide, on the circle of its slope.
fn starting_values(c: &[f64]) -> List<Complex64> {
    let log = |k: usize| c[k].abs().ln();
    let slope = |a: usize, b: usize| (log(b) - log(a)) / count(b - a);
    let mut hull: ArrayVec<usize, { MOST_ORDER + 1 }> = ArrayVec::new();
    for k in (0..c.len()).filter(|k| c[*k] != 0.0) {
        while hull.len() >= 2
            && slope(hull[hull.len() - 2], hull[hull.len() - 1]) <= slope(hull[hull.len() - 1], k)
        {
            hull.pop();
        }
        hull.push(k);
    }
    let mut values = List::new();
    for (edge, ends) in hull.windows(2).enumerate() {
        let (radius, width) = ((-slope(ends[0], ends[1])).exp(), ends[1] - ends[0]);
        for i in 0..width {
            // Turned off the axes, so that no two start as each other's mirror images.
            let angle = TAU * (count(i) / count(width) + 0.11 * count(edge + 1)) + 0.7;
            values.push(Complex64::from_polar(radius, angle));
        }
    }
    values
}

/// Real roots and pairs out of a list that rounding has left not quite symmetric.
fn sort_out(list: &List<Complex64>) -> List<Root> {
    let is_real = |root: &Complex64| root.im.abs() <= REAL * root.norm();
    let mut roots: List<Root> =
        list.iter().filter(|root| is_real(root)).map(|root| Root::real((-root.re).max(0.0))).collect();
    let mut below: List<Complex64> =
        list.iter().filter(|root| !is_real(root) && root.im < 0.0).copied().collect();
    for root in list.iter().filter(|root| !is_real(root) && root.im > 0.0) {
        let apart = |other: &Complex64| (other.conj() - root).norm_sqr();
        let nearest = (0..below.len()).min_by(|a, b| apart(&below[*a]).total_cmp(&apart(&below[*b])));
        let Some(nearest) = nearest else {
            roots.push(Root::real((-root.re).max(0.0)));
            continue;
        };
        let mean = (below.swap_remove(nearest).conj() + root) * 0.5;
        roots.push(Root::pair((-mean.re).max(REAL * mean.norm()), mean.im));
    }
    roots.extend(below.iter().map(|root| Root::real((-root.re).max(0.0))));
    roots.sort_by(|a, b| a.natural_rad_s().total_cmp(&b.natural_rad_s()));
    roots
}

#[expect(clippy::cast_precision_loss, reason = "at most a polynomial's degree")]
fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Deterministic numbers between 0 and 1.
    fn random(state: &mut u64) -> f64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(*state >> 32).unwrap()) / f64::from(u32::MAX)
    }

    fn product(roots: &[Root]) -> Polynomial {
        roots.iter().fold(Polynomial::ONE, |product, root| {
            let first = Polynomial::linear(root.decay_rad_s, 1.0);
            if root.is_real() {
                return product.times(&first);
            }
            let squared = Polynomial::constant(root.ring_rad_s.powi(2));
            product.times(&first.times(&first).plus(&squared))
        })
    }

    /// The roots that a polynomial was made of, over ten decades and up to degree 16.
    #[test]
    fn finds_the_roots_it_was_made_of() {
        let mut state = 1;
        let mut worst: f64 = 0.0;
        for case in 0..500 {
            let mut made: Vec<Root> = Vec::new();
            let wanted = 3 + case % 14;
            while made.iter().map(Root::degree).sum::<usize>() < wanted {
                let natural = 10f64.powf(-2.0 + 10.0 * random(&mut state));
                let left = wanted - made.iter().map(Root::degree).sum::<usize>();
                let apart = |other: &Root| (other.natural_rad_s() / natural).ln().abs() > 0.2;
                if !made.iter().all(apart) {
                    continue;
                }
                if left >= 2 && random(&mut state) < 0.5 {
                    let q = 0.6 + 8.0 * random(&mut state);
                    let decay = natural / (2.0 * q);
                    made.push(Root::pair(decay, (natural * natural - decay * decay).sqrt()));
                } else {
                    made.push(Root::real(natural));
                }
            }
            made.sort_by(|a, b| a.natural_rad_s().total_cmp(&b.natural_rad_s()));
            let found = roots(&product(&made));
            assert_eq!(found.degree(), wanted);
            for (a, b) in found.iter().zip(&made) {
                let apart = (a.decay_rad_s - b.decay_rad_s).hypot(a.ring_rad_s - b.ring_rad_s);
                worst = worst.max(apart / b.natural_rad_s());
            }
        }
        println!("worst root {worst:e}");
        assert!(worst < 1e-8, "{worst:e}");
    }

    #[test]
    fn roots_at_the_origin_are_exact() {
        let found =
            roots(&product(&[Root::real(0.0), Root::real(0.0), Root::real(3.0), Root::pair(1.0, 5.0)]));
        assert_eq!(found.as_slice()[..2], [Root::real(0.0), Root::real(0.0)]);
        assert_eq!(found.degree(), 5);
    }

    #[test]
    fn a_quadratic_does_not_cancel() {
        let [slow, fast] = quadratic(1.0, 1e12, 1.0).into_inner().unwrap();
        assert_eq!((slow, fast), (Root::real(1e-12), Root::real(1e12)));
    }
}
