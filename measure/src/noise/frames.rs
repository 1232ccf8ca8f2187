//! A take in frames: spectra of all its channels together, four to the length of one.

use std::f64::consts::TAU;
use std::sync::Arc;

use realfft::RealToComplex;
use realfft::num_complex::Complex;

use super::floor::Band;
use crate::sweep::fast_length;

/// How long a frame is, in seconds: long enough to part 50 Hz from A1.
pub const SECONDS: f64 = 1.2;

/// The last line's bins, wherever the mains lies, end below this, in Hz.
const LINES_REACH_HZ: f64 = 1_330.0;

/// So many frames begin within the length of one.
pub const OVERLAP: usize = 4;

/// Lines of the mains are looked for up to here, in Hz, bin by bin.
pub const LINES_TO_HZ: f64 = 1_300.0;

/// Samples below this, -180 dB re full scale, are silence: no converter makes them, and arithmetic leaves them.
const SILENT: f64 = 1e-9;

/// Silence of this length, in seconds, at a frame's edge or within was put there: none of it is noise.
const CUT_SECONDS: f64 = 0.05;

/// The window's terms: Blackman and Harris, four terms (Harris, Proc. IEEE 66, 1978): what lies five bins away is down by 92 dB, so that strong hum
/// does not hide the floor beside it.
const WINDOW: [f64; 4] = [0.358_75, 0.488_29, 0.141_28, 0.011_68];

/// Numbers that are left out where frames do not follow on each other, more than any that are near.
const LOST: u64 = 64;

/// How far a line reaches to each side, in bins.
pub const REACH: usize = 4;

/// One stretch of a take.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Its number, and the sample that it begins with.
    pub number: u64,
    pub from: u64,
    /// Power per hertz in each bin, up to half the rate; full scale is an amplitude of one. Where a frame is kept, only as far as [`Frame::turned`].
    pub density: Vec<f64>,
    /// Each bin up to [`LINES_TO_HZ`] times the conjugate of the same one a frame before: its angle is how far a line turned meanwhile.
    pub turned: Vec<Complex<f64>>,
    /// Of a frame that is kept, the mean density in each third octave of the floor.
    pub thirds: Vec<f64>,
    /// Whether there is any sound in it, and nothing that was cut off.
    pub sounds: bool,
    pub whole: bool,
    pub channels: usize,
}

impl Frame {
    /// Without what nobody asks of one that is kept.
    #[must_use]
    pub fn kept(mut self, bands: &[Band]) -> Self {
        self.thirds = bands.iter().map(|band| band.mean(&self)).collect();
        self.density.truncate(self.turned.len());
        self.density.shrink_to_fit();
        self
    }
}

/// Makes frames of samples.
pub struct Frames {
    fft: Arc<dyn RealToComplex<f64>>,
    window: Vec<f64>,
    rate_hz: f64,
    hop: usize,
    channels: Vec<Vec<f64>>,
    /// The spectra of the frame before.
    before: Vec<Vec<Complex<f64>>>,
    number: u64,
    /// The sample that the channels begin with, once something was heard.
    from: u64,
    begun: bool,
}

impl Frames {
    pub fn new(rate_hz: f64) -> Self {
        let length = fast_length(crate::sweep::frames(SECONDS, rate_hz));
        let turn = TAU / to_f64(length);
        let term = |at: usize, k: usize| {
            let sign = if k.is_multiple_of(2) { 1.0 } else { -1.0 };
            sign * WINDOW[k] * (turn * to_f64(at * k)).cos()
        };
        let window = (0..length).map(|at| (0..WINDOW.len()).map(|k| term(at, k)).sum()).collect();
        Self {
            fft: firstjack_fourier::real(length),
            window,
            rate_hz,
            hop: length / OVERLAP,
            channels: Vec::new(),
            before: Vec::new(),
            number: 0,
            from: 0,
            begun: false,
        }
    }

    pub fn length(&self) -> usize {
        self.window.len()
    }

    /// How far apart frames are, in seconds.
    pub fn hop_seconds(&self) -> f64 {
        to_f64(self.hop) / self.rate_hz
    }

    /// How far apart bins are, in Hz.
    pub fn bin_hz(&self) -> f64 {
        self.rate_hz / to_f64(self.length())
    }

    pub fn rate_hz(&self) -> f64 {
        self.rate_hz
    }

    /// How many bins [`Frame::turned`] has.
    pub fn line_bins(&self) -> usize {
        self.bin(LINES_REACH_HZ).min(self.length() / 2) + 1
    }

    /// The nearest one.
    pub fn bin(&self, hz: f64) -> usize {
        crate::sweep::frames(hz / self.bin_hz(), 1.0)
    }

    pub fn hz(&self, bin: usize) -> f64 {
        to_f64(bin) * self.bin_hz()
    }

    /// How two bins of noise so far apart go together: the square of their correlation.
    pub fn related(apart: usize) -> f64 {
        let term = |k: i32| {
            let part = WINDOW.get(k.unsigned_abs() as usize).copied().unwrap_or(0.0);
            if k == 0 { part } else { 0.5 * part }
        };
        let apart = i32::try_from(apart).unwrap_or(i32::MAX);
        let product = |apart: i32| (-8..=8).map(|k| term(k) * term(k - apart)).sum::<f64>();
        if apart > 8 { 0.0 } else { (product(apart) / product(0)).powi(2) }
    }

    pub fn add<'a>(&mut self, channels: impl IntoIterator<Item = &'a [f64]>) {
        for (index, samples) in channels.into_iter().enumerate() {
            if self.channels.len() <= index {
                self.channels.push(Vec::new());
            }
            let finite = samples.iter().map(|sample| if sample.is_finite() { *sample } else { 0.0 });
            self.channels[index].extend(finite);
        }
        if !self.begun {
            self.skip_silence();
        }
    }

    /// What comes next does not follow on what came, of which less than a frame is forgotten.
    pub fn interrupt(&mut self) {
        self.from += self.channels.first().map_or(0, Vec::len) as u64;
        self.channels.iter_mut().for_each(Vec::clear);
        self.before.clear();
        self.number += LOST;
        self.begun = false;
    }

    /// Silence in front of all sound is no part of the take.
    fn skip_silence(&mut self) {
        let sounding = |channel: &Vec<f64>| channel.iter().position(|sample| sample.abs() >= SILENT);
        let first = self.channels.iter().filter_map(sounding).min();
        let skipped = first.unwrap_or_else(|| self.channels.first().map_or(0, Vec::len));
        self.channels.iter_mut().for_each(|channel| drop(channel.drain(..skipped)));
        self.from += skipped as u64;
        self.begun = first.is_some();
    }

    /// The next frame, if all of it is there.
    pub fn next(&mut self) -> Option<Frame> {
        if self.channels.first().is_none_or(|channel| channel.len() < self.length()) {
            return None;
        }
        let spectra: Vec<Vec<Complex<f64>>> =
            self.channels.iter().map(|channel| self.spectrum(&channel[..self.length()])).collect();
        let zeros = self.longest_silence();
        let frame = Frame {
            number: self.number,
            from: self.from,
            density: self.density(&spectra),
            turned: self.turned(&spectra),
            thirds: Vec::new(),
            sounds: zeros < self.length(),
            whole: to_f64(zeros) < CUT_SECONDS * self.rate_hz,
            channels: spectra.len(),
        };
        self.before = spectra;
        self.channels.iter_mut().for_each(|channel| drop(channel.drain(..self.hop)));
        self.number += 1;
        self.from += self.hop as u64;
        Some(frame)
    }

    fn spectrum(&self, samples: &[f64]) -> Vec<Complex<f64>> {
        let mut weighted: Vec<f64> = samples.iter().zip(&self.window).map(|(x, w)| x * w).collect();
        let mut spectrum = self.fft.make_output_vec();
        // Lengths are the plan's own.
        let _ = self.fft.process(&mut weighted, &mut spectrum);
        spectrum
    }

    /// The mean over the channels.
    fn density(&self, spectra: &[Vec<Complex<f64>>]) -> Vec<f64> {
        let energy: f64 = self.window.iter().map(|w| w * w).sum();
        let scale = 2.0 / (self.rate_hz * energy * to_f64(spectra.len()));
        let power = |bin: usize| scale * spectra.iter().map(|spectrum| spectrum[bin].norm_sqr()).sum::<f64>();
        (0..=self.length() / 2).map(power).collect()
    }

    fn turned(&self, spectra: &[Vec<Complex<f64>>]) -> Vec<Complex<f64>> {
        let of = |bin: usize| {
            spectra.iter().zip(&self.before).map(|(now, then)| now[bin] * then[bin].conj()).sum()
        };
        (0..self.line_bins().min(self.length() / 2 + 1)).map(of).collect()
    }

    /// The longest silence in all channels, in samples.
    fn longest_silence(&self) -> usize {
        let (mut longest, mut run) = (0, 0);
        for at in 0..self.length() {
            let silent = self.channels.iter().all(|channel| channel[at].abs() < SILENT);
            run = if silent { run + 1 } else { 0 };
            longest = longest.max(run);
        }
        longest
    }
}

#[expect(clippy::cast_precision_loss, reason = "samples of a few seconds")]
pub fn to_f64(n: usize) -> f64 {
    n as f64
}
