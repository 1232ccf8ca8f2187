use std::f64::consts::TAU;

use rustfft::num_complex::Complex64;

use crate::circuit::{Chain, Immittance, Pickup, Pickups};

/// Boltzmann's constant in J/K, exact in the SI of 2019 (CODATA 2018).
pub(super) const BOLTZMANN: f64 = 1.380_649e-23;

/// Room temperature in K: 20 °C.
pub(super) const KELVIN: f64 = 293.15;

/// Steps of Simpson's rule over the logarithm of frequency.
const STEPS: u32 = 600;

/// The noise that heat makes in a pickup and its load: `4kT Re Z` per hertz, `Z` being what the terminals show where the box that is listened to
/// listens (Johnson 1928, Nyquist 1928; for any passive network at one temperature). No input can be quieter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JohnsonNoise(Immittance);

impl JohnsonNoise {
    /// Of one pickup by itself into a chain, at 20 °C.
    pub fn new(pickup: &Pickup, chain: &Chain) -> Self {
        Self(Pickups::One(*pickup).ladder(0, chain, None).output_impedance())
    }

    /// Its density at `hz` in V²/Hz.
    pub fn density(&self, hz: f64) -> f64 {
        let s = Complex64::new(0.0, TAU * hz);
        let ohms = (self.0.numerator.at(s) / self.0.denominator.at(s)).re;
        // Without a resistance rounding may leave less than nothing.
        4.0 * BOLTZMANN * KELVIN * ohms.max(0.0)
    }

    /// In a band in Hz, in V rms.
    pub fn volts(&self, band_hz: (f64, f64)) -> f64 {
        let octaves = (band_hz.1 / band_hz.0).ln();
        let step = octaves / f64::from(STEPS);
        let weight = |i: u32| if i == 0 || i == STEPS { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        let at = |i: u32| band_hz.0 * (step * f64::from(i)).exp();
        let sum: f64 = (0..=STEPS).map(|i| weight(i) * at(i) * self.density(at(i))).sum();
        (sum * step / 3.0).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noise(pickup: &str, load: &str) -> JohnsonNoise {
        let load: crate::units::Load = load.parse().unwrap();
        JohnsonNoise::new(&Pickup::new(pickup.parse().unwrap()), &Chain::from(&load))
    }

    /// Over all frequencies a resistance across a capacitance makes `kT/C`, whatever the resistance (textbook).
    #[test]
    fn over_all_frequencies_it_is_kt_over_c() {
        for (pickup, farads) in [("200p", 200e-12), ("1n", 1e-9), ("10n", 10e-9)] {
            for load in ["56k", "1M", "22M"] {
                let volts = noise(pickup, load).volts((1e-4, 1e9));
                let expected = (BOLTZMANN * KELVIN / farads).sqrt();
                assert!(
                    (volts / expected - 1.0).abs() < 1e-3,
                    "{pickup} into {load}: {volts} not {expected}"
                );
            }
        }
    }

    /// A resistance by itself: `4kTR` where the capacitance is an open circuit; nothing without one.
    #[test]
    fn far_below_the_corner_it_is_that_of_the_resistance() {
        let density = noise("200p", "1M").density(0.1);
        assert!((density / (4.0 * BOLTZMANN * KELVIN * 1e6) - 1.0).abs() < 1e-6);
        assert_eq!(noise("1n", "none").density(100.0), 0.0);
    }
}
