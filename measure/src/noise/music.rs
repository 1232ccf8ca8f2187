//! The music of a take: how it is spread over frequency where it sounds, and how strong each string is.

use dsp_core::loudness::k_weight;

use super::frames::{Frame, Frames, to_f64};
use super::taken::TakeNoise;

/// What ears hear, in Hz.
pub const EAR_HZ: (f64, f64) = (20.0, 20e3);

/// Bands of an octave.
const PER_OCTAVE: f64 = 12.0;

/// Frames of one decibel of loudness, K-weighted, share a class, from here on.
const QUIETEST_DB: f64 = -200.0;
const CLASSES: usize = 240;

/// What is 10 LU below the mean is not music (the relative gate of ITU-R BS.1770).
const GATE: f64 = 0.1;

/// A string is heard where it has at least the power of noise: 3 dB more together.
const HEARD: f64 = 1.0;

/// Offset of loudness (ITU-R BS.1770), in dB.
const OFFSET_DB: f64 = -0.691;

/// The band in Hz in which an ear hears noise together with a tone: its equivalent rectangular bandwidth, `24.7 (4.37 f/kHz + 1)` Hz
/// (Glasberg and Moore, Hearing Research 47, 1990; from memory).
pub fn ear_band(hz: f64) -> (f64, f64) {
    let half = 0.5 * 24.7 * (4.37e-3 * hz + 1.0);
    ((hz - half).max(EAR_HZ.0), hz + half)
}

/// A band and its bins.
struct Band {
    hz: f64,
    bins: std::ops::Range<usize>,
    weight: f64,
}

/// What is listened for.
pub struct Ears {
    bands: Vec<Band>,
    bin_hz: f64,
    strings_hz: Vec<f64>,
    around: Vec<[std::ops::Range<usize>; 2]>,
}

/// What of a frame may be music.
#[derive(Debug, Clone)]
pub struct Moment {
    /// How loud it is, K-weighted.
    pub level: f64,
    channels: f64,
    /// Of every band.
    powers: Vec<f64>,
    /// The power around every string and around its second harmonic.
    strings: Vec<[f64; 2]>,
}

/// What is gathered of them.
pub struct Gathered {
    channels: f64,
    /// Of each class the powers of its bands, and how many frames.
    classes: Vec<(Vec<f64>, usize)>,
    /// Of each frame.
    strings: Vec<Vec<[f64; 2]>>,
}

/// The music of a take, as the mean over its channels.
#[derive(Debug, Clone, PartialEq)]
pub struct Music {
    /// Frequency in Hz and power of bands, without noise.
    pub bands: Vec<(f64, f64)>,
    /// Of every string asked for.
    pub strings: Vec<StringLevel>,
    /// Channels of the take that add up to its loudness.
    pub channels: usize,
}

/// One string's fundamental and second harmonic.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringLevel {
    /// The fundamental's frequency in Hz.
    pub hz: f64,
    /// The power of both in their [`ear_band`], without noise; none where music does not stand above it.
    pub heard: [Option<f64>; 2],
}

impl Ears {
    pub fn new(frames: &Frames, strings_hz: &[f64]) -> Self {
        let top = (frames.length() / 2).min(frames.bin(EAR_HZ.1));
        let mut bands = Vec::new();
        let mut first = frames.bin(EAR_HZ.0);
        while first < top {
            let next = frames.bin(frames.hz(first) * PER_OCTAVE.recip().exp2()).max(first + 1).min(top);
            let hz = (frames.hz(first) * frames.hz(next)).sqrt() - 0.5 * frames.bin_hz();
            bands.push(Band { hz, bins: first..next, weight: k_weight(hz) });
            first = next;
        }
        let ear = |hz: f64| {
            let (low, high) = ear_band(hz);
            frames.bin(low)..(frames.bin(high) + 1).min(frames.length() / 2)
        };
        Self {
            bands,
            bin_hz: frames.bin_hz(),
            strings_hz: strings_hz.to_vec(),
            around: strings_hz.iter().map(|hz| [ear(*hz), ear(2.0 * hz)]).collect(),
        }
    }

    /// What they hear of a frame.
    pub fn moment(&self, frame: &Frame) -> Moment {
        let sum =
            |bins: &std::ops::Range<usize>| frame.density[bins.clone()].iter().sum::<f64>() * self.bin_hz;
        let powers: Vec<f64> = self.bands.iter().map(|band| sum(&band.bins)).collect();
        Moment {
            level: powers.iter().zip(&self.bands).map(|(power, band)| power * band.weight).sum(),
            channels: to_f64(frame.channels),
            powers,
            strings: self.around.iter().map(|bins| [sum(&bins[0]), sum(&bins[1])]).collect(),
        }
    }
}

impl Gathered {
    pub fn new(ears: &Ears) -> Self {
        let classes = vec![(vec![0.0; ears.bands.len()], 0); CLASSES];
        Self { classes, channels: 1.0, strings: Vec::new() }
    }

    /// Adds one, unless it is nothing.
    pub fn add(&mut self, moment: &Moment) {
        let level = moment.level;
        if level == 0.0 {
            return;
        }
        self.strings.push(moment.strings.clone());
        self.channels = moment.channels;
        let class = crate::sweep::frames((10.0 * level.log10() - QUIETEST_DB).max(0.0), 1.0).min(CLASSES - 1);
        let (sums, count) = &mut self.classes[class];
        sums.iter_mut().zip(&moment.powers).for_each(|(sum, power)| *sum += power);
        *count += 1;
    }

    pub fn finish(self, ears: &Ears, noise: Option<&TakeNoise>) -> Music {
        let of_noise = |band_hz: (f64, f64)| noise.map_or(0.0, |noise| noise.power(band_hz, |_| 1.0));
        let strings = ears.strings_hz.iter().enumerate().map(|(index, hz)| {
            let heard = |part: usize| {
                let noise = of_noise(ear_band(hz * to_f64(part + 1)));
                let gated = gated(self.strings.iter().map(|frame| (frame[index][part] - noise).max(0.0)));
                (gated > HEARD * noise && gated > 0.0).then_some(gated)
            };
            StringLevel { hz: *hz, heard: [heard(0), heard(1)] }
        });
        let edge = |bin: usize| (to_f64(bin) - 0.5) * ears.bin_hz;
        let of_bands: Vec<f64> =
            ears.bands.iter().map(|band| of_noise((edge(band.bins.start), edge(band.bins.end)))).collect();
        let bands = ears.bands.iter().zip(self.powers(&ears.bands, &of_bands)).zip(&of_bands);
        let bands = bands.map(|((band, power), noise)| (band.hz, (power - noise).max(0.0)));
        Music {
            bands: bands.collect(),
            strings: strings.collect(),
            channels: crate::sweep::frames(self.channels, 1.0),
        }
    }

    /// The mean of every band over the frames that the gate lets pass, counted by what they have above noise.
    fn powers(&self, bands: &[Band], noise: &[f64]) -> Vec<f64> {
        let weighted =
            |powers: &[f64]| powers.iter().zip(bands).map(|(power, band)| power * band.weight).sum::<f64>();
        let of_noise = weighted(noise);
        let classes: Vec<(&[f64], f64, f64)> = (self.classes.iter().filter(|(_, count)| *count > 0))
            .map(|(sums, count)| (sums.as_slice(), to_f64(*count), weighted(sums) / to_f64(*count)))
            .map(|(sums, count, level)| (sums, count, (level - of_noise).max(0.0)))
            .collect();
        let all: f64 = classes.iter().map(|(_, count, _)| count).sum();
        let gate = GATE * classes.iter().map(|(_, count, level)| count * level).sum::<f64>() / all.max(1.0);
        let loud: Vec<_> = classes.into_iter().filter(|(_, _, level)| *level >= gate).collect();
        let count: f64 = loud.iter().map(|(_, count, _)| count).sum();
        let sum = |band: usize| loud.iter().map(|(sums, ..)| sums[band]).sum::<f64>();
        (0..bands.len()).map(|band| sum(band) / count.max(1.0)).collect()
    }
}

/// The mean of what is at most 10 dB below the mean of all.
fn gated(powers: impl Iterator<Item = f64> + Clone) -> f64 {
    let mean = |powers: &mut dyn Iterator<Item = f64>| {
        let (sum, count) = powers.fold((0.0, 0), |(sum, count), power| (sum + power, count + 1));
        sum / to_f64(count.max(1))
    };
    let gate = GATE * mean(&mut powers.clone());
    mean(&mut powers.filter(|power| *power >= gate))
}

impl Music {
    /// Its power, K-weighted, behind a change of these powers.
    pub fn power(&self, change: impl Fn(f64) -> f64) -> f64 {
        self.bands.iter().map(|(hz, power)| power * k_weight(*hz) * change(*hz)).sum()
    }

    /// A K-weighted power of its channels as loudness, in LUFS (ITU-R BS.1770).
    pub fn lufs(&self, power: f64) -> f64 {
        OFFSET_DB + 10.0 * (to_f64(self.channels) * power).log10()
    }
}
