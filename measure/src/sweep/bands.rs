//! What a step does to the sweep beside the reference, in bands of a sixth of an octave.

use realfft::num_complex::Complex;

use super::Sweep;
use super::lengths::{fast_length, frames};
use super::mains::{Mains, is_clear};

/// A band's centres are a sixth of an octave apart, from here on, in Hz.
const LOWEST_HZ: f64 = 20.0;
/// The last one ends at this part of where the sweep ends, before it fades.
const HIGHEST_PART: f64 = 0.95;
const PER_OCTAVE: f64 = 6.0;
/// Kept from multiples of the mains, in Hz.
const APART_HZ: f64 = 2.5;
/// A band has at least so many bins.
const FEWEST_BINS: usize = 4;
/// Pieces of a band, by which a delay that is left between the recordings is found, and their width, in Hz.
const PIECE_HZ: f64 = 150.0;
/// Where the delay of all of a recording is found, and the pieces for that, in Hz.
const DELAY_HZ: (f64, f64) = (1_500.0, 15_000.0);
const DELAY_PIECE_HZ: f64 = 40.0;
/// Before and after each sweep, in seconds: half of this much of the gap, faded.
const MARGIN_SECONDS: f64 = 0.2;
const FADE_SECONDS: f64 = 0.1;
/// Of the sweep's largest power: where it has less, nothing is deconvolved.
const REGULAR: f64 = 1e-6;

/// The response of one step's sweeps, deconvolved.
#[derive(Debug, Clone)]
pub(super) struct Spectra {
    bin_hz: f64,
    sweeps: Vec<Vec<Complex<f64>>>,
}

/// A step's level over the reference in one band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Band {
    pub hz: f64,
    pub db: f64,
    /// The standard error by the spread of the repeats, in dB.
    pub error_db: f64,
}

/// Transforms for one rate.
pub(super) struct Transform {
    plan: std::sync::Arc<dyn realfft::RealToComplex<f64>>,
    /// `X* / (|X|² + ε)` of the sweep.
    inverse: Vec<Complex<f64>>,
    rate_hz: f64,
}

impl Transform {
    pub fn new(rate_hz: f64) -> Self {
        let once = Sweep::new(rate_hz, 0.0).once();
        let length = fast_length(frames(Sweep::SECONDS + 2.0 * MARGIN_SECONDS, rate_hz));
        let plan = firstjack_fourier::real(length);
        let mut transform = Self { plan, inverse: Vec::new(), rate_hz };
        let margin = frames(MARGIN_SECONDS, rate_hz);
        let spectrum = transform.spectrum(margin, &once);
        let most = spectrum.iter().map(Complex::norm_sqr).fold(0.0, f64::max);
        transform.inverse = spectrum.iter().map(|x| x.conj() / (x.norm_sqr() + REGULAR * most)).collect();
        transform
    }

    /// Deconvolves the sweeps that begin from `first` on, without the mains.
    pub fn spectra(&self, samples: &[f64], first: usize, mains: Option<&Mains>) -> Spectra {
        let period = frames(Sweep::SECONDS + Sweep::GAP_SECONDS, self.rate_hz);
        let sweeps = (0..Sweep::COUNT).map(|k| self.response(samples, first + k * period, mains)).collect();
        #[expect(clippy::cast_precision_loss, reason = "a length of a million")]
        let bin_hz = self.rate_hz / self.plan.len() as f64;
        Spectra { bin_hz, sweeps }
    }

    fn response(&self, samples: &[f64], start: usize, mains: Option<&Mains>) -> Vec<Complex<f64>> {
        let margin = frames(MARGIN_SECONDS, self.rate_hz);
        let missing = margin.saturating_sub(start);
        let from = start.saturating_sub(margin).min(samples.len());
        let to = (start + frames(Sweep::SECONDS, self.rate_hz) + margin).min(samples.len());
        let mut cut = samples[from..to].to_vec();
        if let Some(mains) = mains {
            mains.take_from(&mut cut, from, self.rate_hz);
        }
        self.fade(&mut cut);
        let mut bins = self.spectrum(missing, &cut);
        bins.iter_mut().zip(&self.inverse).for_each(|(bin, inverse)| *bin *= inverse);
        bins
    }

    fn fade(&self, cut: &mut [f64]) {
        let fade = frames(FADE_SECONDS, self.rate_hz).min(cut.len() / 2);
        let last = cut.len() - 1;
        for frame in 0..fade {
            #[expect(clippy::cast_precision_loss, reason = "a fade of a few thousand frames")]
            let weight = 0.5 - 0.5 * (std::f64::consts::PI * frame as f64 / fade as f64).cos();
            cut[frame] *= weight;
            cut[last - frame] *= weight;
        }
    }

    fn spectrum(&self, offset: usize, samples: &[f64]) -> Vec<Complex<f64>> {
        let mut padded = self.plan.make_input_vec();
        let count = samples.len().min(padded.len() - offset);
        padded[offset..offset + count].copy_from_slice(&samples[..count]);
        let mut bins = self.plan.make_output_vec();
        self.plan.process(&mut padded, &mut bins).expect("the lengths are the plan's own");
        bins
    }
}

impl Spectra {
    /// The delay of the last sweep against the first, beyond the test sound's own, as a part of the time between them: what the clocks of
    /// output and input differ by.
    pub fn drift(&self) -> f64 {
        let [first, .., last] = self.sweeps.as_slice() else { return 0.0 };
        let seconds = -turn(last, first, self.bin_hz) / (2.0 * std::f64::consts::PI * self.bin_hz);
        seconds / (degrees(Sweep::COUNT) * (Sweep::SECONDS + Sweep::GAP_SECONDS))
    }
}

/// The bands of a step beside the reference, and the level of each repeat in the middle of them, in dB.
pub(super) fn bands(
    step: &Spectra,
    reference: &Spectra,
    rate_hz: f64,
    mains_hz: &[f64],
) -> (Vec<Band>, Vec<f64>) {
    let pairs = step.sweeps.iter().zip(&reference.sweeps);
    let turns: Vec<f64> = pairs.map(|(step_bins, of)| turn(step_bins, of, step.bin_hz)).collect();
    let mut bands = Vec::new();
    let mut repeats: Vec<Vec<f64>> = Vec::new();
    for (hz, low_hz, high_hz) in centres(rate_hz) {
        let bins = clear_bins(low_hz, high_hz, step.bin_hz, mains_hz);
        if bins.len() < FEWEST_BINS {
            continue;
        }
        let pairs = step.sweeps.iter().zip(&reference.sweeps).zip(&turns);
        let db: Vec<f64> = pairs
            .map(|((step_bins, of), turn)| 20.0 * ratio(&bins, step_bins, of, *turn, step.bin_hz).log10())
            .collect();
        let mean = mean(&db);
        let variance = db.iter().map(|db| (db - mean).powi(2)).sum::<f64>() / degrees(db.len());
        bands.push(Band { hz, db: mean, error_db: variance });
        repeats.push(db.iter().map(|db| db - mean).collect());
    }
    pool(&mut bands);
    let of_repeat = |k: usize| median(repeats.iter().map(|db| db[k]).collect());
    (bands, (0..Sweep::COUNT).map(of_repeat).collect())
}

/// Two degrees of freedom say little: a band's variance is the mean of its neighbourhood's. From variances to standard errors of the mean.
fn pool(bands: &mut [Band]) {
    let variances: Vec<f64> = bands.iter().map(|band| band.error_db).collect();
    for (index, band) in bands.iter_mut().enumerate() {
        let around = &variances[index.saturating_sub(3)..(index + 4).min(variances.len())];
        band.error_db = (mean(around) / degrees(Sweep::COUNT + 1)).sqrt();
    }
}

/// Centre, lower and upper edge of each band.
fn centres(rate_hz: f64) -> impl Iterator<Item = (f64, f64, f64)> {
    let highest_hz = HIGHEST_PART * Sweep::new(rate_hz, 0.0).highest_hz();
    let half = (0.5 / PER_OCTAVE).exp2();
    let centre = |k: i32| LOWEST_HZ * (f64::from(k) / PER_OCTAVE).exp2();
    (0..)
        .map(centre)
        .map(move |hz| (hz, hz / half, hz * half))
        .take_while(move |(_, _, high_hz)| *high_hz <= highest_hz)
}

fn clear_bins(low_hz: f64, high_hz: f64, bin_hz: f64, mains_hz: &[f64]) -> Vec<usize> {
    let (first, last) = (frames(low_hz, 1.0 / bin_hz), frames(high_hz, 1.0 / bin_hz));
    #[expect(clippy::cast_precision_loss, reason = "bins of a transform of a million")]
    let clear =
        |bin: &usize| mains_hz.iter().all(|mains_hz| is_clear(*bin as f64 * bin_hz, *mains_hz, APART_HZ));
    (first..last).filter(clear).collect()
}

/// Sums of `step · reference*` and `|reference|²` over some bins, turned back by so much a bin.
fn products(
    bins: &[usize],
    step: &[Complex<f64>],
    reference: &[Complex<f64>],
    turn: f64,
) -> (Complex<f64>, f64) {
    #[expect(clippy::cast_precision_loss, reason = "bins of a transform of a million")]
    let back = |bin: usize| Complex::cis(-turn * bin as f64);
    bins.iter().fold((Complex::new(0.0, 0.0), 0.0), |(product, power), bin| {
        let of = reference[*bin];
        (product + step[*bin] * of.conj() * back(*bin), power + of.norm_sqr())
    })
}

/// By what the phase turns from one piece to the next, on the whole, in radians.
fn turn_of_pieces(pieces: &[Complex<f64>]) -> f64 {
    pieces.windows(2).map(|pair| pair[1] * pair[0].conj()).sum::<Complex<f64>>().arg()
}

/// The delay of one response against another: by what the phase between them turns a bin, in radians, where a capacitor turns it no more.
fn turn(step: &[Complex<f64>], reference: &[Complex<f64>], bin_hz: f64) -> f64 {
    let width = frames(DELAY_PIECE_HZ, 1.0 / bin_hz).max(1);
    let bins: Vec<usize> = (frames(DELAY_HZ.0, 1.0 / bin_hz)..frames(DELAY_HZ.1, 1.0 / bin_hz)).collect();
    let pieces: Vec<Complex<f64>> =
        bins.chunks_exact(width).map(|bins| products(bins, step, reference, 0.0).0).collect();
    #[expect(clippy::cast_precision_loss, reason = "a hundred bins")]
    let width = width as f64;
    turn_of_pieces(&pieces) / width
}

/// Least squares of `step = ratio · reference` over a band, in magnitude, with the delay taken out. The band is taken in pieces, since what is left of the
/// phase turns within it, and is no level.
fn ratio(bins: &[usize], step: &[Complex<f64>], reference: &[Complex<f64>], turn: f64, bin_hz: f64) -> f64 {
    let width = frames(PIECE_HZ, 1.0 / bin_hz).max(1);
    let (pieces, powers): (Vec<Complex<f64>>, Vec<f64>) =
        bins.chunks(width).map(|bins| products(bins, step, reference, turn)).unzip();
    let back = Complex::cis(-turn_of_pieces(&pieces));
    let mut phase = Complex::new(1.0, 0.0);
    let mut sum = Complex::new(0.0, 0.0);
    for product in &pieces {
        sum += product * phase;
        phase *= back;
    }
    sum.norm() / powers.iter().sum::<f64>()
}

#[expect(clippy::cast_precision_loss, reason = "a few values")]
fn degrees(count: usize) -> f64 {
    (count - 1) as f64
}

#[expect(clippy::cast_precision_loss, reason = "a few values")]
fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

pub(super) fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
