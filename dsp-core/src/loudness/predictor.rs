use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use rustfft::Fft;
use rustfft::num_complex::Complex64;

use super::k_weighting;
use super::spectrum::{Place, Spectrum};
use crate::processor::Sample;
use crate::response::Shape;

/// Length of one spectrum, rounded up to a power of two: about 85 ms.
const WINDOW_SECONDS: f64 = 0.08;
/// How much of the past counts.
const MEMORY_SECONDS: f64 = 4.0;
/// Bins from here on are gathered in bands a twenty-fourth of their frequency wide.
const SINGLE_BINS: usize = 24;
/// Spectra outside these change nothing, in LUFS: below the absolute gate of BS.1770 they are silence, and a million times
/// the power of full scale is no music.
const HEARD_LUFS: Range<f64> = -70.0..60.0;
/// What lies so far below all that has been learned is a rest, and not learned: the relative gate of BS.1770.
const REST_LU: f64 = 10.0;
/// From so much music on it is known what a rest is, and what is strange.
const KNOWN_SECONDS: f64 = 3.0;
/// What has its middle so far from that of all that has been learned, in octaves, is a knock, a cough or a squeak, and not learned, until
/// it has lasted so long.
const STRANGE_OCTAVES: f64 = 2.0;
const STRANGE_SECONDS: f64 = 2.0;
/// All music counts alike up to so much of it; beyond, the oldest fades.
const LEARNED_SECONDS: f64 = 180.0;

/// Samples up to this (-200 dBFS) are zero to the spectrum: denormal numbers would make a transform ten times as slow.
const INAUDIBLE: f64 = 1e-10;

/// Channels that share a transform: one real, one imaginary. A transform of real numbers would take one for each, and
/// half as much time again to untangle it.
const PAIR: usize = 2;

/// Keeps the K-weighted power spectrum of the last few seconds of input, and that of all music since it began to learn, and predicts
/// from them how much louder or quieter any shape would make it. Real-time safe after [`LoudnessPredictor::new`].
///
/// Through silence it keeps what it knows. Before the first sound it knows nothing, and predicts no change.
#[derive(Clone)]
pub struct LoudnessPredictor {
    transform: Arc<dyn Fft<f64>>,
    window: Vec<f64>,
    channels: usize,
    /// Channels that share a shape: all of them, or one.
    together: usize,
    /// The last `window.len()` frames of each pair of channels that share a shape, oldest first, the newest half still being
    /// filled.
    inputs: Vec<Vec<Complex64>>,
    filled: usize,
    spectrum: Vec<Complex64>,
    scratch: Vec<Complex64>,
    bands: Vec<Band>,
    /// K-weighted power of each bin's unit, mean square.
    weights: Vec<f64>,
    /// The newest spectrum's powers, of the channels that share a shape together.
    powers: Vec<f64>,
    /// The same in bands, those of each shape one after the other.
    row: Vec<f64>,
    /// Ring of band powers, one row for each spectrum, zero where there has been none yet.
    rows: Vec<f64>,
    next_row: usize,
    /// Rows in the ring that there have been.
    filled_rows: usize,
    /// Sums over the ring.
    sums: Vec<f64>,
    /// Mean over all that has been learned, of each shape.
    learned: Vec<Spectrum>,
    learned_seconds: f64,
    /// For how long all has been strange.
    strange_seconds: f64,
    /// The newest row, as it is learned.
    newest: Vec<Spectrum>,
    /// From one spectrum to the next.
    hop_seconds: f64,
    version: u64,
}

#[derive(Debug, Clone, Copy)]
struct Band {
    end_bin: usize,
    hz: f64,
    place: Place,
}

impl fmt::Debug for LoudnessPredictor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("LoudnessPredictor").field("version", &self.version).finish_non_exhaustive()
    }
}

impl LoudnessPredictor {
    /// For `channels` channels of one shape at `rate_hz` (more than zero).
    pub fn new(rate_hz: f64, channels: usize) -> Self {
        Self::sharing(rate_hz, channels, channels)
    }

    /// For `channels` channels at `rate_hz` (more than zero), each of a shape of its own.
    pub fn apart(rate_hz: f64, channels: usize) -> Self {
        Self::sharing(rate_hz, channels, 1)
    }

    fn sharing(rate_hz: f64, channels: usize, together: usize) -> Self {
        let length = whole(WINDOW_SECONDS * rate_hz).next_power_of_two();
        let transform = firstjack_fourier::complex(length);
        let bin_hz = rate_hz / count(length);
        let bands = bands(length / 2, bin_hz);
        let window: Vec<f64> = hann(length);
        let shapes = channels.checked_div(together).unwrap_or(1);
        // The window's mean square makes it a mean square of the signal; negative frequencies are counted as they are.
        let scale = 1.0 / (count(length) * window.iter().map(|w| w * w).sum::<f64>());
        let hops = whole(MEMORY_SECONDS * rate_hz / count(length / 2));
        Self {
            channels,
            together,
            inputs: vec![vec![Complex64::ZERO; length]; shapes * together.div_ceil(PAIR)],
            filled: length / 2,
            spectrum: vec![Complex64::ZERO; length],
            scratch: vec![Complex64::ZERO; transform.get_inplace_scratch_len()],
            weights: (0..length / 2)
                .map(|bin| scale * k_weighting::power(count(bin) * bin_hz, rate_hz))
                .collect(),
            powers: vec![0.0; length / 2],
            row: vec![0.0; shapes * bands.len()],
            rows: vec![0.0; hops * shapes * bands.len()],
            next_row: 0,
            filled_rows: 0,
            sums: vec![0.0; shapes * bands.len()],
            learned: vec![Spectrum::SILENT; shapes],
            learned_seconds: 0.0,
            strange_seconds: 0.0,
            newest: vec![Spectrum::SILENT; shapes],
            hop_seconds: count(length / 2) / rate_hz,
            bands,
            window,
            transform,
            version: 0,
        }
    }

    /// Forgets all sound, but not what has been learned.
    pub fn reset(&mut self) {
        self.inputs.iter_mut().for_each(|input| input.fill(Complex64::ZERO));
        self.filled = self.window.len() / 2;
        self.rows.fill(0.0);
        (self.next_row, self.filled_rows) = (0, 0);
        self.sums.fill(0.0);
        self.version += 1;
    }

    /// Begins to learn: from nothing, or on from what `seconds` of music were like, in one spectrum for each shape.
    pub fn learn_from<'a>(&mut self, spectra: impl IntoIterator<Item = &'a Spectrum>, seconds: f64) {
        self.learned.fill(Spectrum::SILENT);
        self.learned.iter_mut().zip(spectra).for_each(|(to, from)| *to = *from);
        self.learned_seconds = seconds.clamp(0.0, LEARNED_SECONDS);
    }

    /// Begins to learn anew, from the last few seconds.
    pub fn learn_anew(&mut self) {
        for (track, to) in self.learned.iter_mut().enumerate() {
            *to = in_bands(&self.bands, &self.sums[track * self.bands.len()..]);
            to.scale(1.0 / count(self.filled_rows.max(1)));
        }
        self.learned_seconds = count(self.filled_rows) * self.hop_seconds;
    }

    /// What has been learned, one spectrum for each shape.
    pub fn learned(&self) -> &[Spectrum] {
        &self.learned
    }

    /// Of how much music; silence and rests do not count. It stops at three minutes.
    pub fn learned_seconds(&self) -> f64 {
        self.learned_seconds
    }

    /// Loudness in LUFS of the last few seconds, and of all that has been learned; minus infinity for silence.
    pub fn lufs(&self) -> (f64, f64) {
        (lufs(self.sums.iter().sum::<f64>() / count(self.filled_rows.max(1))), lufs(self.learned_power()))
    }

    /// Seconds of sound from one version to the next.
    pub fn hop_seconds(&self) -> f64 {
        self.hop_seconds
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
            for (index, channel) in block.iter_mut().take(self.channels).enumerate() {
                let (shape, index) = (index / self.together, index % self.together);
                let pair = shape * self.together.div_ceil(PAIR) + index / PAIR;
                let to = &mut self.inputs[pair][self.filled..self.filled + frames];
                let from = &channel.as_mut()[start..start + frames];
                if index.is_multiple_of(PAIR) {
                    to.iter_mut().zip(from).for_each(|(to, from)| to.re = audible(*from));
                } else {
                    to.iter_mut().zip(from).for_each(|(to, from)| to.im = audible(*from));
                }
            }
            self.filled += frames;
            start += frames;
            if self.filled == self.window.len() {
                self.analyse();
            }
        }
    }

    /// By how many LU `shape` changes the loudness of the last few seconds, ungated.
    pub fn change_lu(&self, shape: &Shape) -> f64 {
        self.change_apart_lu(std::iter::repeat(shape))
    }

    /// The same for shapes of their own, one for each channel.
    pub fn change_apart_lu<'a>(&self, shapes: impl IntoIterator<Item = &'a Shape>) -> f64 {
        let (mut before, mut after) = (0.0, 0.0);
        for (sums, shape) in self.sums.chunks(self.bands.len()).zip(shapes) {
            for (band, power) in self.bands.iter().zip(sums) {
                before += power;
                after += power * shape.power(band.hz);
            }
        }
        if before > 0.0 { 10.0 * (after / before).log10() } else { 0.0 }
    }

    fn analyse(&mut self) {
        let (pairs, bands) = (self.together.div_ceil(PAIR).max(1), self.bands.len());
        for shape in 0..self.inputs.len() / pairs {
            self.powers.fill(0.0);
            (shape * pairs..(shape + 1) * pairs).for_each(|index| self.add_pair(index));
            let mut bin = 1;
            for (band, to) in self.bands.iter().zip(&mut self.row[shape * bands..]) {
                *to = self.powers[bin..band.end_bin].iter().sum();
                bin = band.end_bin;
            }
        }
        let half = self.window.len() / 2;
        for input in &mut self.inputs {
            input.copy_within(half.., 0);
            input[half..].fill(Complex64::ZERO);
        }
        self.filled = half;
        let heard_lufs = lufs(self.row.iter().sum());
        // A power too large for a number is not in the range either.
        if HEARD_LUFS.contains(&heard_lufs) {
            self.take_row();
            for (track, to) in self.newest.iter_mut().enumerate() {
                *to = in_bands(&self.bands, &self.row[track * self.bands.len()..]);
            }
            if self.learned_seconds < KNOWN_SECONDS || self.is_music(heard_lufs) {
                self.learn_row();
            }
        }
    }

    /// Whether the newest row is more of what has been learned.
    fn is_music(&mut self, heard_lufs: f64) -> bool {
        if heard_lufs < lufs(self.learned_power()) - REST_LU {
            return false;
        }
        let off_octaves = middle_octaves(&self.newest) - middle_octaves(&self.learned);
        let is_strange = off_octaves.abs() > STRANGE_OCTAVES;
        self.strange_seconds = if is_strange { self.strange_seconds + self.hop_seconds } else { 0.0 };
        !is_strange || self.strange_seconds > STRANGE_SECONDS
    }

    fn learned_power(&self) -> f64 {
        self.learned.iter().map(Spectrum::power).sum()
    }

    /// Takes the newest row into the mean.
    fn learn_row(&mut self) {
        self.learned_seconds = (self.learned_seconds + self.hop_seconds).min(LEARNED_SECONDS);
        let share = (self.hop_seconds / self.learned_seconds).min(1.0);
        self.learned.iter_mut().zip(&self.newest).for_each(|(to, newest)| to.approach(newest, share));
    }

    /// Adds the K-weighted powers of two channels `a` and `b`. Of the spectrum `A + jB`, the positive and the negative
    /// frequency together have twice the power `|A|² + |B|²`, and so the power of both frequencies of either channel.
    fn add_pair(&mut self, index: usize) {
        for ((to, from), window) in self.spectrum.iter_mut().zip(&self.inputs[index]).zip(&self.window) {
            *to = from * window;
        }
        self.transform.process_with_scratch(&mut self.spectrum, &mut self.scratch);
        let (positive, negative) = self.spectrum.split_at(self.powers.len());
        let to = self.powers[1..].iter_mut().zip(&self.weights[1..]);
        for (((to, weight), a), b) in to.zip(&positive[1..]).zip(negative.iter().rev()) {
            *to += (a.norm_sqr() + b.norm_sqr()) * weight;
        }
    }

    /// Takes the newest row into the ring and the sums, and the oldest out of both.
    fn take_row(&mut self) {
        let oldest = &mut self.rows[self.next_row..self.next_row + self.row.len()];
        for ((sum, new), old) in self.sums.iter_mut().zip(&self.row).zip(oldest) {
            // Rounding may leave a trace of a loud past, of either sign, far below the quietest row.
            *sum = (*sum - *old + new).max(0.0);
            *old = *new;
        }
        self.next_row = (self.next_row + self.row.len()) % self.rows.len();
        self.filled_rows = (self.filled_rows + 1).min(self.rows.len() / self.row.len());
        self.version += 1;
    }
}

/// A sample as the spectrum takes it.
fn audible<S: Sample>(sample: S) -> f64 {
    let value = sample.to_f64();
    if value.is_finite() && value.abs() > INAUDIBLE { value } else { 0.0 }
}

fn bands(bins: usize, bin_hz: f64) -> Vec<Band> {
    let mut bands = Vec::new();
    let mut bin = 1;
    while bin < bins {
        let end_bin = (bin + (bin / SINGLE_BINS).max(1)).min(bins);
        let hz = bin_hz * (count(bin) * count(end_bin - 1)).sqrt();
        bands.push(Band { end_bin, hz, place: Place::of(hz) });
        bin = end_bin;
    }
    bands
}

/// Powers of the predictor's bands in those of a spectrum.
fn in_bands(bands: &[Band], powers: &[f64]) -> Spectrum {
    let mut spectrum = Spectrum::SILENT;
    bands.iter().zip(powers).for_each(|(band, power)| spectrum.add(&band.place, *power));
    spectrum
}

/// Where the middle of all power together lies.
fn middle_octaves(spectra: &[Spectrum]) -> f64 {
    let sum = |of: fn(&Spectrum) -> f64| spectra.iter().map(of).sum::<f64>();
    sum(Spectrum::moment) / sum(Spectrum::power)
}

/// Loudness of a K-weighted mean square (ITU-R BS.1770-5, annex 1).
fn lufs(power: f64) -> f64 {
    -0.691 + 10.0 * power.log10()
}

fn hann(length: usize) -> Vec<f64> {
    let step = std::f64::consts::TAU / count(length);
    (0..length).map(|i| 0.5 - 0.5 * (step * count(i)).cos()).collect()
}

#[expect(clippy::cast_precision_loss, reason = "transform lengths are far below 2^52")]
fn count(n: usize) -> f64 {
    n as f64
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and positive")]
fn whole(value: f64) -> usize {
    value.ceil().max(1.0) as usize
}
