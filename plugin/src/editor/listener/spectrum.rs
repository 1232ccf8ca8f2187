use std::f64::consts::TAU;
use std::sync::Arc;

use realfft::RealToComplex;
use realfft::num_complex::Complex64;

use super::tenths;

/// Length of one transform, rounded to the nearest power of two: 8192 points at 48 kHz.
const WINDOW_SECONDS: f64 = 8192.0 / 48e3;
/// Each window starts this part of a window after the one before.
const HOPS: usize = 4;
/// A level has gone two thirds of its way after this time.
const SMOOTHING_SECONDS: f64 = 0.3;

const POINTS_PER_OCTAVE: i32 = 24;
const LOWEST_HZ: f64 = 20.0;
const HIGHEST_HZ: f64 = 20e3;
/// What is below is shown as this, in dB.
const FLOOR_DB: f64 = -120.0;

/// Equivalent noise bandwidth of a Hann window in bins (Harris 1978; from memory): its sum of squares, times its length, over the square of its sum.
const HANN_BINS: f64 = 1.5;

/// The power spectrum of one signal: the mean of its channels, 0 dB a sine of full scale.
///
/// A point stands for a band a twenty-fourth of an octave wide and what the window spreads on either side, so that the point next to a sine
/// has its level wherever it lies between points and bins.
pub(super) struct Spectrum {
    transform: Arc<dyn RealToComplex<f64>>,
    window: Vec<f64>,
    /// The last frames of each channel, oldest first, the end still being filled.
    inputs: Vec<Vec<f32>>,
    filled: usize,
    windowed: Vec<f64>,
    bins: Vec<Complex64>,
    scratch: Vec<Complex64>,
    /// Power of all bins below each.
    sums: Vec<f64>,
    points: Vec<Point>,
    smoothing: f64,
    is_known: bool,
}

struct Point {
    hz: f64,
    /// Edges of the band in bins.
    from: f64,
    to: f64,
    power: f64,
}

impl Spectrum {
    pub fn new(rate_hz: f64, channels: usize) -> Self {
        let length = length(rate_hz);
        let transform = firstjack_fourier::real(length);
        let bin_hz = rate_hz / count(length);
        Self {
            window: hann(length),
            inputs: vec![vec![0.0; length]; channels],
            filled: length - length / HOPS,
            windowed: transform.make_input_vec(),
            bins: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            sums: vec![0.0; length / 2 + 2],
            points: points(bin_hz, rate_hz),
            smoothing: 1.0 - (-count(length / HOPS) / (SMOOTHING_SECONDS * rate_hz)).exp(),
            is_known: false,
            transform,
        }
    }

    /// Takes in finite samples, channel by channel in each frame.
    pub fn push(&mut self, samples: &[f32]) {
        for frame in samples.chunks_exact(self.inputs.len().max(1)) {
            self.inputs.iter_mut().zip(frame).for_each(|(input, sample)| input[self.filled] = *sample);
            self.filled += 1;
            if self.filled == self.window.len() {
                self.analyse();
            }
        }
    }

    /// Writes frequencies in Hz with their levels in dB, as finely as they are shown; nothing before the first.
    pub fn write(&self, to: &mut Vec<(f64, f64)>) {
        to.clear();
        if self.is_known {
            let level = |point: &Point| tenths((10.0 * point.power.log10()).max(FLOOR_DB));
            to.extend(self.points.iter().map(|point| (point.hz, level(point))));
        }
    }

    fn analyse(&mut self) {
        self.sums.fill(0.0);
        for index in 0..self.inputs.len() {
            self.add_channel(index);
        }
        let mut sum = 0.0;
        for power in &mut self.sums {
            sum += std::mem::replace(power, sum);
        }
        let channels = count(self.inputs.len());
        for point in &mut self.points {
            let power =
                (below(&self.sums, point.to) - below(&self.sums, point.from)) / (HANN_BINS * channels);
            point.power += self.smoothing * (power.max(0.0) - point.power);
        }
        let hop = self.window.len() / HOPS;
        self.inputs.iter_mut().for_each(|input| input.copy_within(hop.., 0));
        self.filled = self.window.len() - hop;
        self.is_known = true;
    }

    fn add_channel(&mut self, index: usize) {
        for ((to, sample), weight) in self.windowed.iter_mut().zip(&self.inputs[index]).zip(&self.window) {
            *to = f64::from(*sample) * weight;
        }
        let done = self.transform.process_with_scratch(&mut self.windowed, &mut self.bins, &mut self.scratch);
        if done.is_ok() {
            self.sums.iter_mut().zip(&self.bins).for_each(|(to, bin)| *to += bin.norm_sqr());
        }
    }
}

/// Power below a place between bins, each bin being spread over its width.
fn below(sums: &[f64], bin: f64) -> f64 {
    let place = (bin + 0.5).clamp(0.0, count(sums.len() - 1));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "just clamped")]
    let whole = place as usize;
    let next = sums.get(whole + 1).unwrap_or(&sums[whole]);
    sums[whole] + (place - place.floor()) * (next - sums[whole])
}

fn points(bin_hz: f64, rate_hz: f64) -> Vec<Point> {
    let half_point = 2f64.powf(0.5 / f64::from(POINTS_PER_OCTAVE));
    let all = (0..).map(|i| LOWEST_HZ * 2f64.powf(f64::from(i) / f64::from(POINTS_PER_OCTAVE)));
    all.take_while(|hz| *hz <= HIGHEST_HZ.min(0.45 * rate_hz))
        .map(|hz| {
            let bin = hz / bin_hz;
            let half = HANN_BINS + bin * (half_point - 1.0);
            Point { hz, from: bin - half, to: bin + half, power: 0.0 }
        })
        .collect()
}

/// Scaled so that a sine of full scale on a bin has the power one there.
fn hann(length: usize) -> Vec<f64> {
    let scale = 2.0 / (0.5 * count(length));
    let weight = |i: usize| scale * (0.5 - 0.5 * (TAU * count(i) / count(length)).cos());
    (0..length).map(weight).collect()
}

fn length(rate_hz: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small exponent")]
    let exponent = (WINDOW_SECONDS * rate_hz).log2().round().max(6.0) as u32;
    1 << exponent
}

#[expect(clippy::cast_precision_loss, reason = "lengths of windows")]
fn count(n: usize) -> f64 {
    n as f64
}
