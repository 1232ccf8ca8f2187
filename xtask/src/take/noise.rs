//! The noise floor of a recording, and the random numbers it is made from.

use super::clock::Clock;
use std::f64::consts::TAU;

/// Share of the noise power that is flicker noise: it rises towards low frequencies as `1/f`.
/// (Share and range are chosen for a plausible input stage; common practice, no source.)
const FLICKER_SHARE: f64 = 0.04;

/// Flicker noise is made of relaxation processes with corners spaced evenly in octaves, in Hz: their
/// spectra add up to about `1/f` between the first and the last (textbook account of 1/f noise).
const RELAXATIONS_HZ: [f64; 5] = [1.0, 4.0, 16.0, 64.0, 256.0];

/// Noise of `len` samples at `sample_rate_hz` (8 kHz to 384 kHz): Gaussian, white, plus 4 % of its
/// power as `1/f` noise between about 1 and 256 Hz.
///
/// `rms` is the expected rms of the whole, in the unit of the samples wanted (1 is full scale), at
/// any rate. The same arguments give the same bits; different seeds give unrelated noise.
///
/// # Panics
///
/// If `sample_rate_hz` is outside its range.
pub fn noise_floor(sample_rate_hz: f64, len: usize, rms: f64, seed: u64) -> Vec<f64> {
    let clock = Clock::new(sample_rate_hz);
    let mut generator = Generator::new(seed);
    let mut flicker = RELAXATIONS_HZ.map(|hz| Relaxation::new(hz, clock, &mut generator));
    let white_rms = rms * (1.0 - FLICKER_SHARE).sqrt();
    // The processes are independent and of unit power: five of them add up to the power 5.
    let relaxation_rms = rms * (FLICKER_SHARE * 0.2).sqrt();
    (0..len)
        .map(|_| {
            let slow: f64 = flicker.iter_mut().map(|process| process.next(&mut generator)).sum();
            white_rms * generator.gaussian() + relaxation_rms * slow
        })
        .collect()
}

/// White noise through a first-order low-pass, of unit power from the first sample on.
struct Relaxation {
    value: f64,
    keep: f64,
    renew: f64,
}

impl Relaxation {
    fn new(corner_hz: f64, clock: Clock, generator: &mut Generator) -> Self {
        let keep = (-TAU * corner_hz * clock.period_s()).exp();
        Self { value: generator.gaussian(), keep, renew: (1.0 - keep * keep).sqrt() }
    }

    fn next(&mut self, generator: &mut Generator) -> f64 {
        self.value = self.keep * self.value + self.renew * generator.gaussian();
        self.value
    }
}

/// Reproducible random numbers: the `splitmix64` sequence (Steele, Lea and Flood, "Fast splittable
/// pseudorandom number generators", 2014).
pub(super) struct Generator {
    state: u64,
}

impl Generator {
    /// A sequence of its own for every seed.
    pub(super) fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.state ^ (self.state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Very nearly Gaussian, mean 0 and variance 1: the sum of twelve uniform numbers (Irwin-Hall),
    /// which needs no function whose last bit differs between platforms. Never beyond 6.
    pub(super) fn gaussian(&mut self) -> f64 {
        let sum: u32 = (0..3).flat_map(|_| quarters(self.next())).map(u32::from).sum();
        // Each quarter is uniform over 0..=65535, with mean 32767.5 and variance 65536²/12 (less 1/12).
        (f64::from(sum) - 12.0 * 32_767.5) / 65_536.0
    }
}

/// The four 16-bit parts of a random word, each uniform and independent.
fn quarters(word: u64) -> [u16; 4] {
    let [a, b, c, d, e, f, g, h] = word.to_le_bytes();
    [[a, b], [c, d], [e, f], [g, h]].map(u16::from_le_bytes)
}

#[cfg(test)]
mod tests {
    use super::super::measure::{band_power, power_db};
    use super::*;

    const RATE_HZ: f64 = 48_000.0;

    /// First values for seed 1234567 of the authors' public-domain C program, as many ports
    /// of it print them (from memory).
    #[test]
    fn random_words_are_those_of_splitmix64() {
        let mut generator = Generator::new(1_234_567);
        let words = [generator.next(), generator.next(), generator.next()];
        assert_eq!(words, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn rms_is_the_one_asked_for_at_every_rate() {
        for rate_hz in [8_000.0, 48_000.0, 192_000.0] {
            let noise = noise_floor(rate_hz, 480_000, 1e-4, 7);
            assert!((power_db(&noise) + 80.0).abs() < 0.1, "{rate_hz}: {}", power_db(&noise));
        }
    }

    /// A Gaussian has the fourth moment 3; twelve uniforms 3 - 6/5/12 = 2.9.
    #[test]
    fn distribution_is_nearly_gaussian() {
        let mut generator = Generator::new(3);
        let values: Vec<f64> = (0..400_000).map(|_| generator.gaussian()).collect();
        let moment = |power: i32| values.iter().map(|v| v.powi(power)).sum::<f64>() / 400_000.0;
        assert!(moment(1).abs() < 0.01, "{}", moment(1));
        assert!((moment(2) - 1.0).abs() < 0.01, "{}", moment(2));
        assert!((moment(4) - 2.9).abs() < 0.05, "{}", moment(4));
    }

    #[test]
    fn white_above_and_rising_below() {
        let noise = noise_floor(RATE_HZ, 96_000, 1.0, 11);
        let density_db = |from_hz: f64, to_hz: f64| {
            10.0 * (band_power(&noise, RATE_HZ, from_hz, to_hz) / (to_hz - from_hz)).log10()
        };
        let white = density_db(5_000.0, 5_050.0);
        assert!((white - density_db(15_000.0, 15_050.0)).abs() < 1.0);
        assert!(density_db(40.0, 60.0) - white > 3.0);
        assert!(density_db(10.0, 15.0) - density_db(40.0, 60.0) > 3.0);
    }

    #[test]
    fn seeds_decide() {
        let make = |seed| noise_floor(RATE_HZ, 1000, 1.0, seed);
        assert_eq!(make(1), make(1));
        assert_ne!(make(1), make(2));
    }
}
