//! One analog root as four digital ones: where they are in `u`.
//!
//! As in `warp.rs`, an analog root `s0` has the factor `theta² + c`, `c = (s0 T)²`, in the squared magnitude, and
//! `theta² = 4 u p(u) / q(u)` turns it into `(4 u p(u) + c q(u)) / q(u)`; here `p` and `q` are of third degree, so that a chain
//! of many roots stays within the bar and a resonance is met too. `c` is real for a real root and complex for one of a pair.
//!
//! The roots of `q` and `p` alternate on the real axis, `0 < q1 < p1 < q2 < p2 < q3 < p3`, so `4 u p/q` maps the upper half plane
//! four times onto itself and the real axis onto itself: for real `c` all four roots are real, one between each two of those
//! ends; for `c` above (below) the real axis all four are below (above) it. A decaying pair never gets a root on the
//! unit circle, which is the interval from 0 to 1.

use rustfft::num_complex::Complex64;

/// Digital roots for each analog root.
pub(super) const DIGITAL_ROOTS: usize = 4;

// Degrees 3/3, found by dsp-core/scripts/minimax.py (Remez exchange in 40 digits).
const P1: f64 = -1.878_721_315_226_977_3;
const P2: f64 = 0.987_321_857_863_305_5;
pub(super) const P3: f64 = -0.102_872_381_961_332_08;
const Q1: f64 = -2.211_342_490_707_13;
const Q2: f64 = 1.541_912_232_532_413_7;
pub(super) const Q3: f64 = -0.328_110_044_816_713_2;

/// Largest relative error of `p/q` up to the edge of `warp.rs`, from the same script.
#[cfg(test)]
pub(super) const MAX_RELATIVE_ERROR: f64 = 4.169_797_65e-5;

/// The roots of `p`, from the same script.
const ROOTS_OF_P: [f64; 3] = [1.029_741_189_547_617_8, 1.298_640_558_750_861, 7.269_158_806_701_235];

/// The roots of `q`, from the same script.
pub(super) const ROOTS_OF_Q: [f64; 3] =
    [1.025_081_086_032_849_9, 1.203_173_708_005_394_5, 2.471_120_482_307_674];

/// Where each root has gone half its way from `p`'s to `q`'s as `c` rises, roughly.
const KNEES: [f64; 3] = [40.0, 20.0, 8.0];

/// Sweeps of the simultaneous iteration at most. Three suffice nearly always, nine on the grid of the tests, where two roots nearly meet.
const MOST_SWEEPS: usize = 24;

/// The last sweep moved no root by more than this, relative to it: since the order of convergence is three, nothing is left.
const SETTLED: f64 = 1e-8;

/// Coefficients of `4 u p(u) + c q(u)`, from the constant on, divided by `4 + |c|` to stay near one for every `c`.
fn coefficients(c: Complex64) -> [Complex64; 5] {
    let scale = (4.0 + c.norm()).recip();
    [c, c * Q1 + 4.0, c * Q2 + 4.0 * P1, c * Q3 + 4.0 * P2, Complex64::from(4.0 * P3)].map(|a| a * scale)
}

/// The four roots, by Aberth's simultaneous iteration: Newton's step for each root after division by the distances from the
/// others. For real `c` every imaginary part is exactly zero.
pub(super) fn roots(c: Complex64) -> [Complex64; DIGITAL_ROOTS] {
    let [a0, a1, a2, a3, a4] = coefficients(c);
    let mut roots = guesses(c);
    for _ in 0..MOST_SWEEPS {
        let mut moved = 0.0_f64;
        for i in 0..DIGITAL_ROOTS {
            let u = roots[i];
            let value = (((a4 * u + a3) * u + a2) * u + a1) * u + a0;
            let slope = ((a4 * u * 4.0 + a3 * 3.0) * u + a2 * 2.0) * u + a1;
            let others: Complex64 =
                (0..DIGITAL_ROOTS).filter(|j| *j != i).map(|j| (u - roots[j]).inv()).sum();
            let step = value / (slope - value * others);
            // Two guesses in one place, or a double root met exactly.
            if step.is_finite() {
                roots[i] -= step;
                moved = moved.max(step.norm_sqr() / u.norm_sqr());
            }
        }
        if moved <= SETTLED * SETTLED {
            break;
        }
    }
    roots
}

/// Where the roots are about. On the right of the plane each moves from `p`'s to `q`'s below it as `c` grows, as for real
/// roots; on the left from `p`'s to `q`'s above it, and one from 0 to `q1`, as for pairs without decay.
fn guesses(c: Complex64) -> [Complex64; DIGITAL_ROOTS] {
    let slide = |from: f64, to: f64, c: Complex64, knee: f64| (c * to + from * knee) / (c + knee);
    let [p1, p2, p3] = ROOTS_OF_P;
    let [q1, q2, q3] = ROOTS_OF_Q;
    if c.re >= 0.0 {
        let [u1, u2, u3] =
            [slide(p1, q1, c, KNEES[0]), slide(p2, q2, c, KNEES[1]), slide(p3, q3, c, KNEES[2])];
        return [c / (u1 * u2 * u3 * (4.0 * P3)), u1, u2, u3];
    }
    let m = -c;
    [slide(0.0, q1, m, 4.0 * q1), slide(p1, q2, m, 15.0), slide(p2, q3, m, 20.0), m * (Q3 / (4.0 * P3)) + p3]
}

#[cfg(test)]
mod tests {
    use super::super::warp::EDGE_OF_NYQUIST;
    use super::*;

    fn cubic(tail: [f64; 3], u: f64) -> f64 {
        1.0 + ((tail[2] * u + tail[1]) * u + tail[0]) * u
    }

    /// g from its definition, on a grid finer than the equal-ripple pattern.
    #[test]
    fn approximates_the_warp_to_its_stated_error() {
        let edge = (std::f64::consts::FRAC_PI_2 * EDGE_OF_NYQUIST).sin().powi(2);
        let worst = (1..=20_000)
            .map(|i| edge * f64::from(i) / 20_000.0)
            .map(|u| cubic([P1, P2, P3], u) / cubic([Q1, Q2, Q3], u) / (u.sqrt().asin().powi(2) / u) - 1.0)
            .fold(0.0_f64, |worst, error| worst.max(error.abs()));
        assert!(worst <= MAX_RELATIVE_ERROR * 1.000_001, "{worst:e}");
        assert!(worst >= MAX_RELATIVE_ERROR * 0.999, "{worst:e}: the constants are not the optimum");
    }

    /// Both cubics vanish at the stated roots, which alternate.
    #[test]
    fn stated_roots_of_p_and_q_are_theirs() {
        for (tail, roots) in [([P1, P2, P3], ROOTS_OF_P), ([Q1, Q2, Q3], ROOTS_OF_Q)] {
            for root in roots {
                let size = 1.0 + tail.iter().zip(1..).map(|(a, n)| a.abs() * root.powi(n)).sum::<f64>();
                assert!(cubic(tail, root).abs() <= 1e-15 * size, "{root}");
            }
        }
        for k in 0..3 {
            assert!(ROOTS_OF_Q[k] < ROOTS_OF_P[k]);
            assert!(k == 0 || ROOTS_OF_P[k - 1] < ROOTS_OF_Q[k]);
        }
    }

    /// The largest difference between the coefficients of the quartic and those multiplied out from `roots`, each relative to
    /// the sum of the magnitudes of its products.
    fn mismatch(c: Complex64, roots: [Complex64; DIGITAL_ROOTS]) -> f64 {
        let a = coefficients(c);
        let mut product = vec![a[4]];
        let mut size = vec![a[4].norm()];
        for root in roots {
            product.push(Complex64::ZERO);
            size.push(0.0);
            for i in (1..product.len()).rev() {
                let (lower, lower_size) = (product[i - 1], size[i - 1]);
                product[i] -= lower * root;
                size[i] += lower_size * root.norm();
            }
        }
        (0..5)
            .map(|i| (product[4 - i] - a[i]).norm() / size[4 - i].max(f64::MIN_POSITIVE))
            .fold(0.0, f64::max)
    }

    /// |c| from 1e-16 to 1e16.
    fn magnitudes() -> impl Iterator<Item = f64> {
        (-320..=320).map(|i| 10f64.powf(f64::from(i) / 20.0))
    }

    #[test]
    fn real_roots_solve_the_quartic() {
        let mut worst = 0.0_f64;
        for c in magnitudes().chain([0.0]) {
            let roots = roots(c.into());
            worst = worst.max(mismatch(c.into(), roots));
            assert!(roots.iter().all(|u| u.im == 0.0), "{c:e} {roots:?}");
            assert!(roots[0].re <= 0.0 && (c == 0.0 || roots[0].re < 0.0), "{c:e}");
            for k in 0..3 {
                let between = ROOTS_OF_Q[k] * (1.0 - 1e-12)..=ROOTS_OF_P[k] * (1.0 + 1e-12);
                assert!(between.contains(&roots[k + 1].re), "{c:e} {roots:?}");
            }
        }
        println!("worst mismatch {worst:e}");
        assert!(worst <= 1e-13, "{worst:e}");
    }

    #[test]
    fn complex_roots_solve_the_quartic() {
        let mut worst = 0.0_f64;
        for size in magnitudes() {
            // Angles dense towards the negative real axis, which is a pair without decay, and with it.
            let small = (1..=36).map(|i| 10f64.powf(-f64::from(i) / 3.0));
            let all = small.flat_map(|x| [std::f64::consts::PI * x, std::f64::consts::PI * (1.0 - x)]);
            for angle in all.chain((1..180).map(|i| f64::from(i).to_radians())) {
                let c = Complex64::from_polar(size, angle);
                let roots = roots(c);
                let error = mismatch(c, roots);
                assert!(error <= 1e-13, "{c:e} {roots:?}: {error:e}");
                worst = worst.max(error);
                // None on the unit circle, which is the real axis from 0 to 1.
                let circle = 0.0..=1.0;
                assert!(roots.iter().all(|u| u.im < 0.0 || !circle.contains(&u.re)), "{c:e} {roots:?}");
            }
        }
        println!("worst mismatch {worst:e}");
    }
}
