use super::Shape;

/// Steps of Simpson's rule, more than enough for a resonance of any Q that a circuit of ours has.
const STEPS: u32 = 4000;

/// By how many dB a `|K|²` of a frequency in Hz raises white noise in `band_hz` against the noise at `against_hz`: the mean of `|K|²` over the band
/// (Simpson's rule), over `|K|²` there.
fn rise_db(power: impl Fn(f64) -> f64, band_hz: (f64, f64), against_hz: f64) -> f64 {
    let step_hz = (band_hz.1 - band_hz.0) / f64::from(STEPS);
    let weight = |i: u32| if i == 0 || i == STEPS { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
    let sum: f64 = (0..=STEPS).map(|i| weight(i) * power(band_hz.0 + step_hz * f64::from(i))).sum();
    10.0 * (sum / (3.0 * f64::from(STEPS)) / power(against_hz)).log10()
}

/// The noise that a change raises most: rumble and hum at the bottom, or hiss at the top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Noise {
    /// From 20 to 200 Hz, against the noise at 20 kHz.
    Rumble,
    /// From 2 to 20 kHz, against the noise at 1 kHz.
    Hiss,
}

impl Noise {
    /// Of the two the one that `shape` raises more.
    pub fn raised_by(shape: &Shape) -> Self {
        Self::raised_by_power(|hz| shape.power(hz))
    }

    /// The same of any `|K|²` of a frequency in Hz.
    pub fn raised_by_power(power: impl Fn(f64) -> f64) -> Self {
        let rise_db = |noise: Self| noise.rise_of_power_db(&power);
        if rise_db(Self::Hiss) > rise_db(Self::Rumble) { Self::Hiss } else { Self::Rumble }
    }

    /// By how many dB `shape` raises it.
    pub fn rise_db(self, shape: &Shape) -> f64 {
        self.rise_of_power_db(|hz| shape.power(hz))
    }

    /// The same of any `|K|²` of a frequency in Hz.
    pub fn rise_of_power_db(self, power: impl Fn(f64) -> f64) -> f64 {
        match self {
            Self::Rumble => rise_db(power, (20.0, 200.0), 20e3),
            Self::Hiss => rise_db(power, (2e3, 20e3), 1e3),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    /// The inverse of a high-pass lifts rumble, that of a low-pass hiss. `|K|²` is `1 + (fc/f)²` in the one, `1 + (f/fc)²` in the
    /// other, whose means over a band are integrals of powers.
    #[test]
    fn an_undo_raises_noise_where_it_boosts() {
        let rumble = Shape::first_order(1.0, TAU * 500.0, 0.0);
        let mean = |a: f64, b: f64, of: f64| 1.0 + of * of / (a * b);
        let expected = 10.0 * (mean(20.0, 200.0, 500.0) / (1.0 + (500.0_f64 / 20e3).powi(2))).log10();
        assert_eq!(Noise::raised_by(&rumble), Noise::Rumble);
        assert!((Noise::Rumble.rise_db(&rumble) - expected).abs() < 1e-4);
        // (s + w)/w, with its pole far above.
        let hiss = Shape::first_order(1e4, TAU * 1000.0, TAU * 1e7);
        let mean = |a: f64, b: f64, of: f64| 1.0 + (a * a + a * b + b * b) / (3.0 * of * of);
        let expected = 10.0 * (mean(2e3, 20e3, 1e3) / 2.0).log10();
        assert_eq!(Noise::raised_by(&hiss), Noise::Hiss);
        assert!((Noise::Hiss.rise_db(&hiss) - expected).abs() < 1e-3);
    }
}
