//! The quietest frames of a take, as many as memory is spent on, and the mean of noise where some of them are not only noise.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use statrs::function::gamma::gamma_lr;

use super::floor::Band;
use super::frames::{Frame, to_f64};

/// So many are kept: two minutes, 15 MB at 48 kHz.
pub const MOST: usize = 384;

/// So many frames of nothing but zeros, between sound, are what the take's quietest stretches are: over two seconds.
pub const SILENT: usize = 4;

/// The quietest of a set that count as noise whatever comes of them.
const LEAST: usize = 3;

/// Standard deviations above the mean of noise up to which a frame counts as such.
const BEYOND: f64 = 1.5;

/// Standard deviations by which the mean of the quietest may be wrong before others are not noise.
const UNSURE: f64 = 2.0;

/// Rounds until the mean stands.
const ROUNDS: usize = 200;

struct Kept {
    level: f64,
    frame: Frame,
}

impl PartialEq for Kept {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Kept {}

impl PartialOrd for Kept {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Kept {
    fn cmp(&self, other: &Self) -> Ordering {
        self.level.total_cmp(&other.level).then_with(|| self.frame.number.cmp(&other.frame.number))
    }
}

/// Keeps them, the loudest on top.
pub struct Quietest {
    kept: BinaryHeap<Kept>,
    named: bool,
    silent: usize,
    /// Silence that would count if sound came behind it.
    silent_yet: usize,
}

impl Quietest {
    /// All frames are noise if a person named them.
    pub fn new(named: bool) -> Self {
        Self { kept: BinaryHeap::new(), named, silent: 0, silent_yet: 0 }
    }

    /// The next frame of the take, and how loud it is.
    pub fn add(&mut self, frame: Frame, level: f64, bands: &[Band]) {
        if !frame.sounds {
            self.silent_yet += 1;
            return;
        }
        self.silent += std::mem::take(&mut self.silent_yet);
        if !frame.whole {
            return;
        }
        self.kept.push(Kept { level, frame: frame.kept(bands) });
        if self.kept.len() > MOST {
            self.kept.pop();
        }
    }

    pub fn is_named(&self) -> bool {
        self.named
    }

    /// Whether the quietest are digital silence.
    pub fn is_silence(&self) -> bool {
        self.silent >= SILENT || (self.kept.is_empty() && self.silent + self.silent_yet > 0)
    }

    /// In the order of the take.
    pub fn frames(self) -> Vec<Frame> {
        let mut frames: Vec<Frame> = self.kept.into_iter().map(|kept| kept.frame).collect();
        frames.sort_by_key(|frame| frame.number);
        frames
    }
}

/// Of powers of one band the mean of those that are noise, and which these are: the quietest, up to as much above their mean as noise reaches, whose
/// own mean is corrected for what lies beyond. Powers of noise of `k` independent values have a gamma distribution of the shape `k`; of those below
/// `θ μ` the mean is `μ P(k+1, k θ)/P(k, k θ)`, `P` being the incomplete gamma function.
pub fn noise_of(powers: &[f64], k: f64) -> (f64, Vec<usize>) {
    let mut order: Vec<usize> = (0..powers.len()).collect();
    order.sort_by(|a, b| powers[*a].total_cmp(&powers[*b]));
    let sorted: Vec<f64> = order.iter().map(|index| powers[*index]).collect();
    let theta = 1.0 + BEYOND / k.sqrt();
    let part = gamma_lr(k + 1.0, k * theta) / gamma_lr(k, k * theta);
    let mean = |count: usize| sorted[..count].iter().sum::<f64>() / to_f64(count);
    let mut count = LEAST.min(sorted.len());
    for _ in 0..ROUNDS {
        // The mean of few is not known well.
        let unsure = 1.0 + UNSURE / (k * to_f64(count)).sqrt();
        let limit = theta * unsure * mean(count) / part;
        let more = sorted.partition_point(|power| *power <= limit).max(count);
        if more == count {
            break;
        }
        count = more;
    }
    order.truncate(count);
    (mean(count) / part, order)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sum of `k` squares of two Gaussians each is such a power (textbook), by a plain sum of logarithms.
    fn powers(count: usize, k: usize, mean: f64, random: &mut fastrand::Rng) -> Vec<f64> {
        let one = |random: &mut fastrand::Rng| -(1.0 - random.f64()).ln();
        let sum = |random: &mut fastrand::Rng| (0..k).map(|_| one(random)).sum::<f64>();
        (0..count).map(|_| mean * sum(random) / to_f64(k)).collect()
    }

    /// Noise alone, and noise in a third of the frames under music 6 to 40 dB above it.
    #[test]
    fn the_mean_of_noise_is_found_with_music_and_without() {
        let mut random = fastrand::Rng::with_seed(7);
        for k in [2, 4, 30, 200] {
            let noise = powers(300, k, 1e-9, &mut random);
            let (alone, _) = noise_of(&noise, to_f64(k));
            let music = powers(600, k, 1e-9, &mut random).into_iter();
            let all: Vec<f64> = noise
                .into_iter()
                .chain(music.map(|power| power * 4.0 * 10f64.powf(3.4 * random.f64())))
                .collect();
            let (among, _) = noise_of(&all, to_f64(k));
            for (found, what) in [(alone, "alone"), (among, "with music")] {
                let db = 10.0 * (found / 1e-9).log10();
                assert!(db.abs() < 0.6, "{db} dB for k = {k}, {what}");
            }
        }
    }
}
