//! One analog root as three digital ones.
//!
//! An analog factor `s + w` has the squared magnitude `W² + w²`. With `theta = W T` and `u = sin²(theta/2)`,
//! `theta² = 4 u g(u)`, `g(u) = asin²(√u)/u`, which no circuit enters. Replacing `g` by a rational `p/q` turns
//! `theta² + (wT)²` into `(4 u p(u) + (wT)² q(u)) / q(u)`; the roots of the cubic numerator, mapped by
//! `cos theta = 1 - 2u` to the inside of the unit circle, are the digital roots. `q` cancels between the zero
//! and the pole of a ratio. Since `d log|K|² / d log theta²` lies within ±1 for a ratio of two such factors, `K` is off
//! by at most `10 log10(1 + eps)`, eps being the largest relative error of `p/q`, whatever the corners.

/// Digital roots for each analog root.
pub(crate) const SECTIONS: usize = 3;

// Degrees 2/2, found by dsp-core/scripts/minimax.py (Remez exchange in 40 digits).
const P1: f64 = -1.169_576_800_271_84;
const P2: f64 = 0.228_362_634_803_881_57;
const Q1: f64 = -1.494_898_501_835_8;
const Q2: f64 = 0.520_769_617_765_373_3;

/// Largest relative error of `p/q` up to [`EDGE_OF_NYQUIST`], from the same script.
#[cfg(test)]
pub(super) const MAX_RELATIVE_ERROR: f64 = 8.539_820_574e-4;

/// Up to this fraction of Nyquist the approximation holds: 20 kHz at 44.1 kHz.
pub(super) const EDGE_OF_NYQUIST: f64 = 20_000.0 / 22_050.0;

// The cubic has one root at or below zero and one in each of these intervals, whose ends are the roots of q and p.
const MIDDLE: (f64, f64) = (1.061_395, 1.084_768);
const OUTER: (f64, f64) = (1.809_161, 4.036_810);

/// From its guess a root is then known to the last digits.
const NEWTON_STEPS: usize = 8;

/// The digital roots of one analog root at `-w`, given `w T` in radians a sample, zero or more. In `z` and inside the unit circle (on it
/// for a corner at DC): the first near `exp(-wT)`, the others on the negative axis.
pub(super) fn digital_roots(wt: f64) -> [f64; SECTIONS] {
    let c = wt * wt;
    // Divided by 4 + c the coefficients stay near one for every corner.
    let scale = (4.0 + c).recip();
    let (a3, a2, a1, a0) = (4.0 * P2 * scale, (4.0 * P1 + c * Q2) * scale, (4.0 + c * Q1) * scale, c * scale);
    // Both roots move from p's to q's as the corner rises; the guess has the right ends and is refined.
    let refined = |(low, high): (f64, f64), knee: f64| {
        let guess = (high * knee + low * c) / (knee + c);
        (0..NEWTON_STEPS).fold(guess, |u, _| {
            let value = ((a3 * u + a2) * u + a1) * u + a0;
            let slope = (3.0 * a3 * u + 2.0 * a2) * u + a1;
            (u - value / slope).clamp(low, high)
        })
    };
    let (middle_u, outer_u) = (refined(MIDDLE, 20.0), refined(OUTER, 8.0));
    // The product of the roots gives the small one without cancellation.
    let inner_u = -c / (4.0 * P2 * middle_u * outer_u);
    [inside(-2.0 * inner_u), -inside(2.0 * middle_u - 2.0), -inside(2.0 * outer_u - 2.0)]
}

/// The root of `z + 1/z = 2 (1 + t)` inside the unit circle, `t >= 0`: the reciprocal of the outer one, which
/// adds where the inner one would cancel.
fn inside(t: f64) -> f64 {
    (1.0 + t + (t * (t + 2.0)).sqrt()).recip()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(u: f64) -> f64 {
        (1.0 + (P1 + P2 * u) * u) / (1.0 + (Q1 + Q2 * u) * u)
    }

    /// g from its definition, on a grid finer than the equal-ripple pattern.
    #[test]
    fn approximates_the_warp_to_its_stated_error() {
        let edge = (std::f64::consts::FRAC_PI_2 * EDGE_OF_NYQUIST).sin().powi(2);
        let worst = (1..=20_000)
            .map(|i| edge * f64::from(i) / 20_000.0)
            .map(|u| (ratio(u) / (u.sqrt().asin().powi(2) / u) - 1.0).abs())
            .fold(0.0, f64::max);
        assert!(worst <= MAX_RELATIVE_ERROR * 1.000_001, "{worst:e}");
        assert!(worst >= MAX_RELATIVE_ERROR * 0.999, "{worst:e}: the constants are not the optimum");
    }

    #[test]
    fn intervals_end_at_the_roots_of_p_and_q() {
        for (a, b, ends) in [(P1, P2, (MIDDLE.1, OUTER.1)), (Q1, Q2, (MIDDLE.0, OUTER.0))] {
            let root = (a * a - 4.0 * b).sqrt();
            assert!((((-a - root) / (2.0 * b)) - ends.0).abs() < 2e-6);
            assert!((((-a + root) / (2.0 * b)) - ends.1).abs() < 2e-6);
        }
    }

    #[test]
    fn roots_solve_the_cubic_for_every_corner() {
        for exponent in -60..=60 {
            let wt = 10f64.powf(f64::from(exponent) / 10.0);
            let c = wt * wt;
            for z in digital_roots(wt) {
                // Back from z to u: (1 - z)² / (-4 z).
                let u = (1.0 - z).powi(2) / (-4.0 * z);
                let terms = [4.0 * P2 * u.powi(3), (4.0 * P1 + c * Q2) * u * u, (4.0 + c * Q1) * u, c];
                let size: f64 = terms.iter().map(|t| t.abs()).sum();
                assert!(terms.iter().sum::<f64>().abs() <= 1e-6 * size, "wT {wt:e}, z {z}");
                assert!(z.abs() < 1.0, "wT {wt:e}, z {z}");
            }
        }
    }
}
