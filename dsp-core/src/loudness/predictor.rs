use std::fmt;
use std::sync::Arc;

use realfft::num_complex::Complex32;
use realfft::{RealFftPlanner, RealToComplex};

use super::k_weighting;
use crate::processor::Sample;
use crate::response::Shape;

/// Length of one spectrum, rounded up to a power of two: about 85 ms.
const WINDOW_SECONDS: f64 = 0.08;
/// How much of the past counts.
const MEMORY_SECONDS: f64 = 4.0;
/// Bins from here on are gathered in bands a twenty-fourth of their frequency wide.
const SINGLE_BINS: usize = 24;
/// Absolute gate of BS.1770 in LUFS: quieter spectra are silence and change nothing.
const GATE_LUFS: f64 = -70.0;

/// Keeps the K-weighted power spectrum of the last few seconds of input and predicts from it how much louder or
/// quieter any shape would make them. Real-time safe after [`LoudnessPredictor::new`].
///
/// Through silence it keeps what it knows. Before the first sound it assumes equal power per octave.
#[derive(Clone)]
pub struct LoudnessPredictor {
    transform: Arc<dyn RealToComplex<f32>>,
    window: Vec<f32>,
    /// The last `window.len()` frames of each channel, oldest first, the newest half still being filled.
    inputs: Vec<Vec<f32>>,
    filled: usize,
    frame: Vec<f32>,
    spectrum: Vec<Complex32>,
    scratch: Vec<Complex32>,
    bands: Vec<Band>,
    /// K-weighted power of each bin's unit, mean square.
    weights: Vec<f32>,
    /// Ring of band powers, one row for each spectrum.
    rows: Vec<f64>,
    next_row: usize,
    used_rows: usize,
    sums: Vec<f64>,
    version: u64,
}

#[derive(Debug, Clone, Copy)]
struct Band {
    end_bin: usize,
    hz: f64,
}

impl fmt::Debug for LoudnessPredictor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("LoudnessPredictor").field("version", &self.version).finish_non_exhaustive()
    }
}

impl LoudnessPredictor {
    /// For `channels` channels at `rate_hz` (more than zero).
    pub fn new(rate_hz: f64, channels: usize) -> Self {
        let length = whole(WINDOW_SECONDS * rate_hz).next_power_of_two();
        let transform = RealFftPlanner::new().plan_fft_forward(length);
        let bin_hz = rate_hz / count(length);
        let bands = bands(length / 2, bin_hz);
        let window: Vec<f32> = hann(length);
        // Twice, for the negative frequencies; the window's mean square makes it a mean square of the signal.
        let scale = 2.0 / (count(length) * window.iter().map(|w| f64::from(w * w)).sum::<f64>());
        let hops = whole(MEMORY_SECONDS * rate_hz / count(length / 2));
        Self {
            inputs: vec![vec![0.0; length]; channels],
            filled: length / 2,
            frame: transform.make_input_vec(),
            spectrum: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            weights: (0..=length / 2)
                .map(|bin| narrow(scale * k_weighting::power(count(bin) * bin_hz, rate_hz)))
                .collect(),
            rows: vec![0.0; hops * bands.len()],
            next_row: 0,
            used_rows: 0,
            sums: equal_power_per_octave(&bands, rate_hz),
            bands,
            window,
            transform,
            version: 0,
        }
    }

    /// Forgets all sound.
    pub fn reset(&mut self) {
        self.inputs.iter_mut().for_each(|input| input.fill(0.0));
        self.filled = self.window.len() / 2;
        self.next_row = 0;
        self.used_rows = 0;
        self.version += 1;
    }

    /// Counts up whenever the prediction has changed.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// Frames until [`LoudnessPredictor::version`] can count up next. A caller that stops there acts on every prediction at
    /// the same frame whatever its block size.
    pub fn frames_to_update(&self) -> usize {
        self.window.len() - self.filled
    }

    /// Takes in the frames `start..end` of a block of input. Samples that are not finite count as zero.
    pub fn push<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C], mut start: usize, end: usize) {
        while start < end {
            let frames = (end - start).min(self.window.len() - self.filled);
            for (input, channel) in self.inputs.iter_mut().zip(block.iter_mut()) {
                let to = &mut input[self.filled..self.filled + frames];
                for (to, from) in to.iter_mut().zip(&channel.as_mut()[start..start + frames]) {
                    let value = from.to_f64();
                    *to = if value.is_finite() { narrow(value) } else { 0.0 };
                }
            }
            self.filled += frames;
            start += frames;
            if self.filled == self.window.len() {
                self.analyse();
            }
        }
    }

    /// By how many LU `shape` changes the loudness of what was heard, ungated.
    pub fn change_lu(&self, shape: &Shape) -> f64 {
        let (mut before, mut after) = (0.0, 0.0);
        for (band, power) in self.bands.iter().zip(&self.sums) {
            before += power;
            after += power * shape.power(band.hz);
        }
        10.0 * (after / before).log10()
    }

    fn analyse(&mut self) {
        let width = self.bands.len();
        let start = self.next_row * width;
        self.rows[start..start + width].fill(0.0);
        for index in 0..self.inputs.len() {
            self.add_channel(index, start);
        }
        let half = self.window.len() / 2;
        self.inputs.iter_mut().for_each(|input| input.copy_within(half.., 0));
        self.filled = half;
        let power: f64 = self.rows[start..start + width].iter().sum();
        if -0.691 + 10.0 * power.log10() > GATE_LUFS {
            self.take_row();
        }
    }

    fn add_channel(&mut self, index: usize, row: usize) {
        for ((to, from), window) in self.frame.iter_mut().zip(&self.inputs[index]).zip(&self.window) {
            *to = from * window;
        }
        // Cannot fail: all three buffers came from the transform itself.
        let done =
            self.transform.process_with_scratch(&mut self.frame, &mut self.spectrum, &mut self.scratch);
        debug_assert!(done.is_ok());
        let mut bin = 1;
        for (band, to) in self.bands.iter().zip(&mut self.rows[row..]) {
            let range = bin..band.end_bin;
            let weighted = self.spectrum[range.clone()].iter().zip(&self.weights[range]);
            *to += f64::from(weighted.map(|(value, weight)| value.norm_sqr() * weight).sum::<f32>());
            bin = band.end_bin;
        }
    }

    fn take_row(&mut self) {
        let width = self.bands.len();
        let rows = self.rows.len() / width;
        self.next_row = (self.next_row + 1) % rows;
        self.used_rows = (self.used_rows + 1).min(rows);
        self.sums.fill(0.0);
        for row in self.rows[..self.used_rows * width].chunks_exact(width) {
            self.sums.iter_mut().zip(row).for_each(|(sum, power)| *sum += power);
        }
        self.version += 1;
    }
}

fn bands(bins: usize, bin_hz: f64) -> Vec<Band> {
    let mut bands = Vec::new();
    let mut bin = 1;
    while bin < bins {
        let end_bin = (bin + (bin / SINGLE_BINS).max(1)).min(bins);
        let hz = bin_hz * (count(bin) * count(end_bin - 1)).sqrt();
        bands.push(Band { end_bin, hz });
        bin = end_bin;
    }
    bands
}

fn equal_power_per_octave(bands: &[Band], rate_hz: f64) -> Vec<f64> {
    let width = |i: usize| bands.get(i + 1).map_or(1.0, |next| next.hz / bands[i].hz).ln().max(1e-3);
    bands.iter().enumerate().map(|(i, band)| width(i) * k_weighting::power(band.hz, rate_hz)).collect()
}

fn hann(length: usize) -> Vec<f32> {
    let step = std::f64::consts::TAU / count(length);
    (0..length).map(|i| narrow(0.5 - 0.5 * (step * count(i)).cos())).collect()
}

#[expect(clippy::cast_precision_loss, reason = "transform lengths are far below 2^52")]
fn count(n: usize) -> f64 {
    n as f64
}

#[expect(clippy::cast_possible_truncation, reason = "f32 precision is far below the 0.3 dB asked for")]
fn narrow(value: f64) -> f32 {
    value as f32
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and positive")]
fn whole(value: f64) -> usize {
    value.ceil().max(1.0) as usize
}
