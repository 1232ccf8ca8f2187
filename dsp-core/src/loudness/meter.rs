//! K-weighted energy of several signals side by side.

use std::array;

use wide::f64x2;

use super::gated::{Loudness, kept};
use super::k_weighting;

/// Channels that are weighted together.
const LANES: usize = 2;

/// What is smaller than this in a filter is nothing (-2000 dB): denormal numbers would make rests slow.
const NOTHING: f64 = 1e-100;

/// Measures the loudness (ITU-R BS.1770) of several signals of one length in one go: channels of all of them share the lanes of a
/// vector unit. All channels weigh the same: left, right and centre do in the standard, and tracks of one instrument are no
/// loudspeakers behind a listener.
#[derive(Debug, Clone)]
pub struct LoudnessMeter {
    lanes: Vec<Lanes>,
    /// Channels of each signal.
    channels: usize,
    /// Of each signal, mean squares of a tenth of a second after the other.
    tenths: Vec<Vec<f32>>,
    /// Frames in a tenth of a second, and how many of the next one have been taken in.
    hop: usize,
    filled: usize,
}

/// Two channels.
#[derive(Debug, Clone)]
struct Lanes {
    sections: [Section; 2],
    energy: f64x2,
}

/// A second-order section: the transposed direct form II with its sums made beforehand, so that each state waits for two operations on the
/// last one, and not for the output.
#[derive(Debug, Clone)]
struct Section {
    /// What the output takes of the input, what each state does, and what it loses of the first.
    direct: f64x2,
    taken: [f64x2; 2],
    lost: [f64x2; 2],
    state: [f64x2; 2],
}

impl LoudnessMeter {
    /// For `signals` signals of `channels` channels each, at `rate_hz` (more than zero).
    pub fn new(rate_hz: u32, signals: usize, channels: usize) -> Self {
        let section = |[b0, b1, b2, a1, a2]: [f64; 5]| Section {
            direct: f64x2::splat(b0),
            taken: [b1 - a1 * b0, b2 - a2 * b0].map(f64x2::splat),
            lost: [a1, a2].map(f64x2::splat),
            state: [f64x2::ZERO; 2],
        };
        let sections = k_weighting::sections(f64::from(rate_hz)).map(section);
        let lanes = Lanes { sections, energy: f64x2::ZERO };
        Self {
            lanes: vec![lanes; (signals * channels).div_ceil(LANES)],
            channels,
            tenths: vec![Vec::new(); signals],
            hop: usize::try_from(((rate_hz + 5) / 10).max(1)).unwrap_or(usize::MAX),
            filled: 0,
        }
    }

    /// Takes in a block of all channels of all signals, one signal after the other; all have one length. Samples that are not finite
    /// count as zero.
    pub fn add(&mut self, block: &[&[f64]]) {
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        let mut start = 0;
        while start < frames {
            let end = frames.min(start + self.hop - self.filled);
            for (lanes, channels) in self.lanes.iter_mut().zip(block.chunks(LANES)) {
                // Lanes that are left over repeat the first channel; nobody asks for their energy.
                let channel = |lane| channels.get(lane).unwrap_or(&channels[0]);
                lanes.add(array::from_fn(|lane| &channel(lane)[start..end]));
            }
            self.filled += end - start;
            start = end;
            if self.filled == self.hop {
                self.finish_tenth();
            }
        }
    }

    /// What was measured of each signal. What is left of a tenth of a second counts only where there is nothing else.
    pub fn finish(mut self) -> Vec<Loudness> {
        if self.filled > 0 && self.tenths.iter().all(Vec::is_empty) {
            self.finish_tenth();
        }
        self.tenths.iter().map(|tenths| Loudness::new(tenths)).collect()
    }

    #[expect(clippy::cast_precision_loss, reason = "frames of a tenth of a second")]
    fn finish_tenth(&mut self) {
        let energies: Vec<f64> = self.lanes.iter_mut().flat_map(Lanes::take_energy).collect();
        for (tenths, energies) in self.tenths.iter_mut().zip(energies.chunks(self.channels)) {
            tenths.push(kept(energies.iter().sum::<f64>() / self.filled as f64));
        }
        self.filled = 0;
    }
}

impl Lanes {
    /// Two channels of one length.
    fn add(&mut self, [a, b]: [&[f64]; LANES]) {
        let [mut first, mut second] = self.sections.clone();
        let mut energy = f64x2::ZERO;
        for (a, b) in a.iter().zip(b) {
            let samples = f64x2::new([*a, *b]);
            // Nothing times what is not a finite number is no number.
            let finite = samples & (samples * f64x2::ZERO).simd_eq(f64x2::ZERO);
            let weighted = second.run(first.run(finite));
            energy += weighted * weighted;
        }
        self.sections = [first, second];
        self.energy += energy;
    }

    fn take_energy(&mut self) -> [f64; LANES] {
        for section in &mut self.sections {
            section.settle();
        }
        std::mem::replace(&mut self.energy, f64x2::ZERO).to_array()
    }
}

impl Section {
    #[inline]
    fn run(&mut self, x: f64x2) -> f64x2 {
        let [first, second] = self.state;
        self.state[0] = (self.taken[0] * x + second) - self.lost[0] * first;
        self.state[1] = self.taken[1] * x - self.lost[1] * first;
        self.direct * x + first
    }

    fn settle(&mut self) {
        for state in &mut self.state {
            *state =
                f64x2::new(state.to_array().map(|value| if value.abs() < NOTHING { 0.0 } else { value }));
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// By the `ebur128` crate, of two channels.
    fn ebur128_lufs(rate_hz: u32, channels: &[Vec<f64>]) -> f64 {
        let mut meter = ebur128::EbuR128::new(2, rate_hz, ebur128::Mode::I).unwrap();
        let planes: Vec<&[f64]> = channels.iter().map(Vec::as_slice).collect();
        meter.add_frames_planar_f64(&planes).unwrap();
        meter.loudness_global().unwrap()
    }

    /// Three signals at once, in blocks of odd lengths.
    fn measured(rate_hz: u32, signals: &[Vec<Vec<f64>>], piece: usize) -> Vec<f64> {
        let mut meter = LoudnessMeter::new(rate_hz, signals.len(), 2);
        let channels: Vec<&Vec<f64>> = signals.iter().flatten().collect();
        let frames = channels[0].len();
        for start in (0..frames).step_by(piece) {
            let end = frames.min(start + piece);
            meter.add(&channels.iter().map(|channel| &channel[start..end]).collect::<Vec<_>>());
        }
        meter.finish().iter().map(|loudness| loudness.lufs().unwrap()).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]

        /// Noise that comes and goes, at any rate.
        #[test]
        fn equals_the_ebur128_crate(seed: u64, piece in 1..5_000_usize, rate in 0..6_usize, db in -60.0..0.0_f64) {
            let rate_hz = [8_000, 11_025, 44_100, 48_000, 96_000, 192_000][rate];
            let mut rng = proptest::test_runner::TestRng::from_seed(
                proptest::test_runner::RngAlgorithm::ChaCha, &[seed.to_le_bytes(); 4].concat());
            let mut channel = || -> Vec<f64> {
                let mut level = 0.0;
                (0..rate_hz * 3).map(|frame| {
                    if frame % (rate_hz / 5) == 0 {
                        level = 10f64.powf((db - f64::from(rng.next_u32() % 40)) / 20.0);
                    }
                    level * (f64::from(rng.next_u32()) / f64::from(u32::MAX) - 0.5)
                }).collect()
            };
            let signals: Vec<Vec<Vec<f64>>> = (0..3).map(|_| vec![channel(), channel()]).collect();
            for (ours, signal) in measured(rate_hz, &signals, piece).iter().zip(&signals) {
                let theirs = ebur128_lufs(rate_hz, signal);
                // Below the gate the crate, as the standard, has nothing to tell.
                let agrees = if theirs.is_finite() { (ours - theirs).abs() < 0.01 } else { *ours < -69.99 };
                prop_assert!(agrees, "{ours} {theirs} LUFS");
            }
        }
    }

    /// What is not a number counts as zero, and leaves nothing behind.
    #[test]
    fn what_is_not_a_number_is_silence() {
        let tone: Vec<f64> = (0..48_000).map(|frame| (0.1 * f64::from(frame)).sin()).collect();
        let mut holed = tone.clone();
        let mut silenced = tone;
        for (frame, value) in [(100, f64::NAN), (200, f64::INFINITY), (30_000, f64::NEG_INFINITY)] {
            holed[frame] = value;
            silenced[frame] = 0.0;
        }
        let lufs = |signal: &[f64]| {
            let mut meter = LoudnessMeter::new(48_000, 1, 1);
            meter.add(&[signal]);
            meter.finish()[0].lufs().unwrap()
        };
        assert_eq!(lufs(&holed), lufs(&silenced));
    }
}
