use std::f64::consts::{FRAC_PI_2, PI};

use super::digital::{Factor, Factors, Side, factor_power};
use super::quartic::DIGITAL_ROOTS;
use super::warp::EDGE_OF_NYQUIST;
use crate::limits::MOST_ROOTS;
use crate::response::Roots;

/// Second-order sections that a cascade can hold: four digital roots for each analog one, two to a section.
pub(crate) const MOST_SECTIONS: usize = DIGITAL_ROOTS * MOST_ROOTS / 2;

/// A section whose power changes by no more than this from DC to the edge of the band, 2.2e-5 dB, is replaced by its
/// gain at DC: the 32 sections of 16 roots on each side stay within 0.0029 + 0.0007 dB. Of corners far below the rate
/// all but one digital root are such.
const NEGLIGIBLE: f64 = 5e-6;

/// One second-order section in powers of the difference `δ = z - 1`:
/// `(1 + b1 δ⁻¹ + b2 δ⁻²) / (1 + a1 δ⁻¹ + a2 δ⁻²)`. Corners far below the sample rate have roots close to `z = 1`, whose distance
/// from it is kept here to the last digit.
///
/// Run as `y = x + s1; s1 += s2 + b1 x - a1 y; s2 += b2 x - a2 y`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Section {
    pub b1: f64,
    pub b2: f64,
    pub a1: f64,
    pub a2: f64,
}

/// The digital form of a ratio of any order: second-order sections in series, and a gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cascade {
    list: [Section; MOST_SECTIONS],
    count: usize,
    /// The gain that makes the sections together equal the analog ratio of gain one.
    pub(crate) level: f64,
}

impl Cascade {
    /// The cascade of `Π (s - zero) / Π (s - pole)` at `rate_hz`.
    pub(crate) fn new(zeros: &Roots, poles: &Roots, rate_hz: f64) -> Self {
        let (mut above, mut below) = (Side::default(), Side::default());
        let mut level = 1.0;
        // In turn, so that no product on the way overflows.
        for i in 0..zeros.len().max(poles.len()) {
            level *= zeros.get(i).map_or(1.0, |zero| above.add(zero, rate_hz));
            level /= poles.get(i).map_or(1.0, |pole| below.add(pole, rate_hz));
        }
        above.balance(&below);
        below.balance(&above);
        Self::paired(above.factors(), below.factors(), level)
    }

    /// Every pole factor with the nearest zero factor that is left, beginning at the unit circle, so that no section
    /// raises what another has to lower.
    fn paired(mut above: Factors, mut below: Factors, level: f64) -> Self {
        let mut cascade = Self { list: [Section::default(); MOST_SECTIONS], count: 0, level };
        below.sort_unstable_by(|a, b| a.margin().total_cmp(&b.margin()));
        for pole in below {
            let distances = above.iter().map(|zero| zero.distance(&pole)).enumerate();
            let Some((nearest, _)) = distances.min_by(|a, b| a.1.total_cmp(&b.1)) else { break };
            cascade.push(above.swap_remove(nearest), pole);
        }
        cascade
    }

    /// Adds a section, unless it does nothing but change the level.
    fn push(&mut self, zero: Factor, pole: Factor) {
        if zero == pole {
            return;
        }
        if zero.is_smooth() && pole.is_smooth() {
            let ratio = |u: f64| zero.power(u) / pole.power(u);
            let edge = (FRAC_PI_2 * EDGE_OF_NYQUIST).sin().powi(2);
            if (ratio(edge) / ratio(0.0) - 1.0).abs() <= NEGLIGIBLE {
                self.level *= zero.c2 / pole.c2;
                return;
            }
        }
        self.list[self.count] = Section { b1: zero.c1, b2: zero.c2, a1: pole.c1, a2: pole.c2 };
        self.count += 1;
    }

    /// The sections in order.
    pub(crate) fn sections(&self) -> &[Section] {
        &self.list[..self.count]
    }

    /// `|K|²` of the sections at `hz`.
    pub(super) fn power(&self, hz: f64, rate_hz: f64) -> f64 {
        let u = (PI * hz / rate_hz).sin().powi(2);
        let ratio = |s: &Section| factor_power(s.b1, s.b2, u) / factor_power(s.a1, s.a2, u);
        self.level * (self.level * self.sections().iter().map(ratio).product::<f64>())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::response::Root;

    const RATES_HZ: [f64; 7] = [8_000.0, 22_050.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0, 384_000.0];

    /// The first `length` values of the impulse response, run as [`Section`] says.
    fn impulse_response(cascade: &Cascade, length: usize) -> Vec<f64> {
        let mut signal = vec![0.0; length];
        signal[0] = cascade.level;
        for section in cascade.sections() {
            let (mut s1, mut s2) = (0.0, 0.0);
            for value in &mut signal {
                let x = *value;
                let y = x + s1;
                s1 += s2 + section.b1 * x - section.a1 * y;
                s2 += section.b2 * x - section.a2 * y;
                *value = y;
            }
        }
        signal
    }

    /// A coil's resonance with a notch, a transformer's high-pass with a chain of corners, an improper ratio.
    fn examples() -> [(Roots, Roots); 3] {
        let roots = |list: &[Root]| list.iter().copied().collect::<Roots>();
        [
            (roots(&[Root::pair(0.0, 60_000.0)]), roots(&[Root::pair(3_000.0, 25_000.0)])),
            (
                roots(&[Root::real(0.0), Root::real(0.0), Root::real(900.0), Root::real(2e5)]),
                roots(&[Root::pair(300.0, 200.0), Root::real(500.0), Root::real(9e3), Root::real(4e4)]),
            ),
            (roots(&[Root::pair(2_000.0, 30_000.0), Root::real(100.0)]), roots(&[Root::real(400.0)])),
        ]
    }

    /// What runs is what [`Cascade::power`] tells: to 1e-9 of the largest.
    #[test]
    fn impulse_response_has_the_stated_spectrum() {
        const LENGTH: u32 = 1 << 15;
        let transform = firstjack_fourier::real(1 << 15);
        for (zeros, poles) in examples() {
            for rate_hz in [8_000.0, 48_000.0, 96_000.0] {
                let cascade = Cascade::new(&zeros, &poles, rate_hz);
                let mut spectrum = transform.make_output_vec();
                transform.process(&mut impulse_response(&cascade, 1 << 15), &mut spectrum).unwrap();
                let hz = |bin: u32| f64::from(bin) * rate_hz / f64::from(LENGTH);
                let stated: Vec<f64> = (0..=LENGTH / 2).map(|bin| cascade.power(hz(bin), rate_hz)).collect();
                let largest = stated.iter().copied().fold(0.0, f64::max);
                for (value, stated) in spectrum.iter().zip(stated) {
                    let error = (value.norm_sqr() - stated).abs() / largest;
                    assert!(error <= 1e-9, "{error:e}, {zeros:?} over {poles:?} at {rate_hz} Hz");
                }
            }
        }
    }

    /// Four digital roots for each analog one of the longer side, two to a section; fewer where all corners are far below
    /// the rate; where both sides are equal, none.
    #[test]
    fn sections_are_as_many_as_needed() {
        let count =
            |zeros: &Roots, poles: &Roots, rate_hz: f64| Cascade::new(zeros, poles, rate_hz).sections().len();
        let counts = examples().map(|(zeros, poles)| count(&zeros, &poles, 48_000.0));
        assert_eq!(counts, [4, 10, 6]);
        let of = |scale: f64| {
            let roots = |corners: [f64; 2]| Roots::from_iter(corners.map(|w| Root::real(w * scale)));
            count(&roots([200.0, 500.0]), &roots([300.0, 800.0]), 48_000.0)
        };
        assert_eq!([of(0.1), of(100.0)], [1, 4]);
        let (_, poles) = &examples()[1];
        let equal = Cascade::new(poles, poles, 48_000.0);
        assert_eq!((equal.sections().len(), equal.level), (0, 1.0));
    }

    /// Jury's conditions for `δ² + a1 δ + a2`, that is `z² + (a1 - 2) z + 1 - a1 + a2`; `marginal` lets `z = 1` through.
    fn is_stable(section: &Section, marginal: bool) -> bool {
        let Section { a1, a2, .. } = *section;
        let at_one = if marginal { a2 >= 0.0 && a2 <= a1 } else { a2 > 0.0 && a2 < a1 };
        at_one && 4.0 - 2.0 * a1 + a2 > 0.0
    }

    /// A root between 1e-3 and 1e8 rad/s, half of them in pairs with Q from 1/2 to 1e4.
    fn random_root(next: &mut impl FnMut() -> f64) -> Root {
        let natural = 10f64.powf(11.0 * next() - 3.0);
        if next() < 0.5 {
            return Root::real(natural);
        }
        let decay = natural / (2.0 * (0.5 * 20_000_f64.powf(next())));
        Root::pair(decay, (natural * natural - decay * decay).max(1e-30).sqrt())
    }

    #[test]
    fn every_cascade_is_stable_and_finite() {
        let mut state = 1_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24)
        };
        for rate_hz in RATES_HZ {
            for trial in 0..1_500 {
                let mut zeros: Roots = (0..trial % 9).map(|_| random_root(&mut next)).collect();
                let mut poles: Roots = (0..trial % 8).map(|_| random_root(&mut next)).collect();
                let integrates = trial % 5 == 0;
                if integrates {
                    poles.push(Root::real(0.0));
                    zeros.push(Root::pair(0.0, 1e3));
                }
                let cascade = Cascade::new(&zeros, &poles, rate_hz);
                let about = || format!("{zeros:?} over {poles:?} at {rate_hz} Hz");
                assert!(cascade.level > 0.0 && cascade.level.is_finite(), "{}", about());
                for section in cascade.sections() {
                    assert!(is_stable(section, integrates), "{section:?}, {}", about());
                    assert!(section.b1.is_finite() && section.b2.is_finite(), "{section:?}, {}", about());
                }
                assert!(cascade.power(0.2 * rate_hz, rate_hz).is_finite(), "{}", about());
            }
        }
    }

    /// Resonances without loss to speak of, up to the edge of what numbers can hold.
    #[test]
    fn extreme_resonances_are_stable_and_finite() {
        for (exponent, rate_hz) in (-3..=99).flat_map(|exponent| RATES_HZ.map(|rate| (exponent, rate))) {
            let natural = 10f64.powi(exponent);
            for q in [1e4, 1e12, 1e20, 1e60] {
                let poles = Roots::from_iter([Root::pair(natural / q, natural), Root::real(natural)]);
                let cascade = Cascade::new(&Roots::NONE, &poles, rate_hz);
                let all_stable = cascade.sections().iter().all(|section| is_stable(section, false));
                assert!(all_stable && cascade.level.is_finite(), "{poles:?} at {rate_hz} Hz: {cascade:?}");
            }
        }
    }

    /// As many roots as fit, all on one side, keep to the bound of each; more do no harm.
    #[test]
    fn full_cascades_are_accurate_and_finite() {
        for root in [Root::real(0.0), Root::real(4e4), Root::pair(2e4, 3e4), Root::pair(1e3, 1e3)] {
            let w: f64 = 6_000.0;
            let decay2 = root.decay_rad_s.powi(2);
            let pair = (decay2 + (w - root.ring_rad_s).powi(2)) * (decay2 + (w + root.ring_rad_s).powi(2));
            // A pair counts twice; of a real root the line above gives the square.
            let analog = 10.0 * 16.0 * pair.log10();
            let most: Roots = std::iter::repeat_n(root, MOST_ROOTS / root.degree()).collect();
            let above = Cascade::new(&most, &Roots::NONE, 48_000.0);
            let below = Cascade::new(&Roots::NONE, &most, 48_000.0);
            let error = |cascade: Cascade, sign: f64| {
                10.0 * cascade.power(w / (2.0 * PI), 48_000.0).log10() - sign * analog
            };
            let errors_db = [error(above, 1.0), error(below, -1.0)];
            assert!(errors_db.iter().all(|error| error.abs() <= 32.0 * 2e-4), "{root:?}: {errors_db:?} dB");
        }
        let more: Roots = std::iter::repeat_n(Root::pair(1e5, 1e8), MOST_ROOTS).collect();
        for (zeros, poles) in [(more, Roots::NONE), (Roots::NONE, more)] {
            let level = Cascade::new(&zeros, &poles, 48_000.0).level;
            assert!(level > 0.0 && level.is_finite(), "{level}");
        }
    }
}
