//! Power spectra of short stretches.

use std::f64::consts::PI;
use std::sync::Arc;

use realfft::RealToComplex;

/// What is looked at ends here, in Hz.
const HIGHEST_HZ: f64 = 8e3;

/// So long are stretches, in seconds: 8192 samples at 44.1 kHz.
pub(crate) const STRETCH_SECONDS: f64 = 8192.0 / 44_100.0;

/// Lengths are multiples of this, so that they have small factors at all usual rates.
const MULTIPLE: f64 = 256.0;

/// Makes power spectra through a Hann window.
pub(crate) struct Spectra {
    fft: Arc<dyn RealToComplex<f64>>,
    window: Vec<f64>,
    rate_hz: f64,
    bins: usize,
}

impl Spectra {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a part of a second of any rate"
    )]
    pub fn new(rate_hz: f64) -> Self {
        let length = (MULTIPLE * (STRETCH_SECONDS * rate_hz / MULTIPLE).round()) as usize;
        let bins = (length / 2 + 1).min((HIGHEST_HZ / rate_hz * to_f64(length)) as usize);
        let turn = 2.0 * PI / to_f64(length);
        let window = (0..length).map(|at| 0.5 - 0.5 * (turn * to_f64(at)).cos()).collect();
        Self { fft: firstjack_fourier::real(length), window, rate_hz, bins }
    }

    /// How many samples go into one.
    pub fn length(&self) -> usize {
        self.window.len()
    }

    /// How long one is.
    pub fn seconds(&self) -> f64 {
        to_f64(self.length()) / self.rate_hz
    }

    /// Of a bin, in Hz.
    pub fn hz(&self, bin: usize) -> f64 {
        to_f64(bin) * self.rate_hz / to_f64(self.length())
    }

    /// The bin at a frequency in Hz.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a frequency of a spectrum")]
    pub fn bin(&self, hz: f64) -> usize {
        (hz * to_f64(self.length()) / self.rate_hz).round() as usize
    }

    /// Power by bins, from samples of the right length; a full-scale sine has 1/16 of the length squared in its bin.
    pub fn power(&self, samples: &[f64]) -> Vec<f64> {
        let mut input: Vec<f64> =
            samples.iter().zip(&self.window).map(|(sample, weight)| sample * weight).collect();
        let mut output = self.fft.make_output_vec();
        self.fft.process(&mut input, &mut output).expect("lengths are the transform's own");
        output[..self.bins].iter().map(realfft::num_complex::Complex::norm_sqr).collect()
    }

    /// The mean power by bins of all of a stretch, in steps of half a window; `None` if it is shorter than a window.
    pub fn mean(&self, samples: &[f64]) -> Option<Vec<f64>> {
        let starts: Vec<usize> =
            (0..=samples.len().checked_sub(self.length())?).step_by(self.length() / 2).collect();
        let mut sum = vec![0.0; self.bins];
        for start in &starts {
            let power = self.power(&samples[*start..start + self.length()]);
            sum.iter_mut().zip(power).for_each(|(sum, power)| *sum += power);
        }
        Some(sum.into_iter().map(|sum| sum / to_f64(starts.len())).collect())
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of samples and bins")]
pub(crate) fn to_f64(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    #[test]
    fn a_sine_has_its_power_in_its_bin() {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
            let spectra = Spectra::new(rate_hz);
            let seconds = to_f64(spectra.length()) / rate_hz;
            assert!((seconds / STRETCH_SECONDS - 1.0).abs() < 0.02, "{seconds} s");
            let turn = 2.0 * PI * spectra.hz(100) / rate_hz;
            let sine: Vec<f64> = (0..spectra.length()).map(|at| (turn * to_f64(at)).sin()).collect();
            // Half of a sine's amplitude is in its positive frequency, and half of that is left by the window's mean.
            let expected = (to_f64(spectra.length()) / 4.0).powi(2);
            assert_relative_eq!(spectra.power(&sine)[100], expected, max_relative = 1e-9);
            assert!(spectra.power(&sine)[105] < 1e-12 * expected);
        }
    }
}
