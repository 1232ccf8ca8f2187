use std::collections::VecDeque;
use std::f64::consts::TAU;
use std::sync::Arc;

use realfft::RealToComplex;
use realfft::num_complex::Complex64;

/// Third-octave bands by their number: midband frequencies `1000·10^(n/10)` Hz, 31.5 Hz to 16 kHz by their nominal names, edges a
/// factor `10^(1/20)` away (IEC 61260-1).
const BANDS: std::ops::RangeInclusive<i32> = -15..=12;

/// From a band's midband frequency to its edges.
pub const EDGE: f64 = 1.122_018_454_301_963_3;

/// Blocks of the spectrum are at least so long, in seconds: several lines in the lowest band.
const BLOCK_S: f64 = 0.5;

/// Power in third-octave bands of a signal that passes by: spectra of overlapping blocks under a Hann window (Welch's method).
pub struct ThirdOctaves {
    rate_hz: f64,
    fft: Arc<dyn RealToComplex<f64>>,
    /// As `f32`, since there are two of these for each sound of a page.
    window: Vec<f32>,
    waiting: Vec<VecDeque<f32>>,
    /// Sum of the power spectra.
    power: Vec<f64>,
    blocks: u64,
}

impl ThirdOctaves {
    pub fn new(rate_hz: u32, channels: usize) -> Self {
        let shortest = BLOCK_S * f64::from(rate_hz);
        let length =
            (9..).map(|power| 1_usize << power).find(|length| count(*length) >= shortest).unwrap_or(512);
        let hann = |index: usize| 0.5 - 0.5 * (TAU * count(index) / count(length)).cos();
        Self {
            rate_hz: f64::from(rate_hz),
            fft: firstjack_fourier::real(length),
            window: (0..length).map(|index| narrow(hann(index))).collect(),
            waiting: vec![VecDeque::with_capacity(length); channels],
            power: vec![0.0; length / 2 + 1],
            blocks: 0,
        }
    }

    pub fn add(&mut self, block: &[Vec<f64>]) {
        let (length, frames) = (self.window.len(), block.first().map_or(0, Vec::len));
        let mut start = 0;
        while start < frames {
            let end = frames.min(start + length - self.waiting[0].len());
            for (waiting, channel) in self.waiting.iter_mut().zip(block) {
                waiting.extend(channel[start..end].iter().map(|value| narrow(*value)));
            }
            start = end;
            if self.waiting[0].len() == length {
                self.transform();
                self.waiting.iter_mut().for_each(|channel| drop(channel.drain(..length / 2)));
            }
        }
    }

    /// # Panics
    /// Never: the buffers have the lengths of the transform.
    fn transform(&mut self) {
        let mut spectrum = vec![Complex64::default(); self.power.len()];
        for channel in &self.waiting {
            let weighted = |(value, weight): (&f32, &f32)| f64::from(*value) * f64::from(*weight);
            let mut windowed: Vec<f64> = channel.iter().zip(&self.window).map(weighted).collect();
            self.fft.process(&mut windowed, &mut spectrum).expect("its lengths");
            self.power.iter_mut().zip(&spectrum).for_each(|(sum, line)| *sum += line.norm_sqr());
        }
        self.blocks += 1;
    }

    /// Midband frequency and power of each band below half the rate; the unit of power is the same for two signals of one length.
    pub fn finish(mut self) -> Vec<Band> {
        if self.blocks == 0 {
            // Shorter than a block: silence follows.
            let length = self.window.len();
            self.waiting.iter_mut().for_each(|channel| channel.resize(length, 0.0));
            self.transform();
        }
        let line_hz = self.rate_hz / count(self.window.len());
        let band = |number: i32| {
            let midband_hz = 1000.0 * 10f64.powf(f64::from(number) / 10.0);
            let inside =
                |line: usize| (midband_hz / EDGE..midband_hz * EDGE).contains(&(count(line) * line_hz));
            let lines = self.power.iter().enumerate().filter(|(line, _)| inside(*line));
            Band { midband_hz, power: lines.map(|(_, power)| power).sum() }
        };
        let below = |band: &Band| band.midband_hz * EDGE < self.rate_hz / 2.0;
        BANDS.map(band).filter(below).collect()
    }
}

/// One band's part.
#[derive(Debug, Clone, Copy)]
pub struct Band {
    pub midband_hz: f64,
    pub power: f64,
}

#[expect(clippy::cast_possible_truncation, reason = "24 bits are more than an encoder keeps")]
fn narrow(value: f64) -> f32 {
    value as f32
}

#[expect(clippy::cast_precision_loss, reason = "far below 2^52")]
fn count(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sine lies in its own band, and twice the amplitude is four times the power.
    #[test]
    fn a_sine_lies_in_its_band() {
        for (hz, number) in [(31.6, 0), (1000.0, 15), (1100.0, 15), (1150.0, 16), (15_800.0, 27)] {
            let bands = |amplitude: f64| {
                let mut meter = ThirdOctaves::new(48_000, 1);
                let step = TAU * hz / 48_000.0;
                meter.add(&[(0..96_000).map(|frame| amplitude * (step * f64::from(frame)).sin()).collect()]);
                meter.finish()
            };
            let (one, two) = (bands(0.25), bands(0.5));
            let total: f64 = one.iter().map(|band| band.power).sum();
            assert_eq!(one.len(), 28);
            assert!(one[number].power > 0.99 * total, "{hz} Hz");
            assert!((two[number].power / one[number].power - 4.0).abs() < 1e-9);
        }
    }

    /// What is shorter than a block is measured too, and bands end below half the rate.
    #[test]
    fn short_and_low_rates() {
        let mut meter = ThirdOctaves::new(8_000, 1);
        meter.add(&[vec![0.5; 10]]);
        let bands = meter.finish();
        assert!(bands.iter().all(|band| band.power > 0.0 && band.midband_hz < 3600.0), "{bands:?}");
    }
}
