//! Gated loudness (ITU-R BS.1770-5, annex 1) from the energies of its blocks. They are kept, so that it is known at any gain: the
//! absolute gate hears a signal as it is written, not as it was measured.

/// Loudness of a K-weighted mean square of one, in LUFS.
const OFFSET_LUFS: f64 = -0.691;

/// The absolute gate, in LUFS.
const ABSOLUTE_GATE_LUFS: f64 = -70.0;

/// The relative gate: 10 LU below the mean of what the absolute one leaves.
const RELATIVE_GATE: f64 = 0.1;

/// A block so near to the absolute gate, a tenth of a LU, may pass or not, as a factor of its power.
const ON_THE_GATE: f64 = 1.023;

/// Tenths of a second in a gating block; one begins with every tenth.
const TENTHS: usize = 4;

/// How loud a signal is, at its own gain and at any other.
#[derive(Debug, Clone, PartialEq)]
pub struct Loudness {
    /// Mean squares of the gating blocks that are not silent, the loudest first.
    blocks: Vec<f32>,
    /// Sums of the first none, one, two ... of them.
    sums: Vec<f64>,
}

impl Loudness {
    /// From the K-weighted mean squares of one tenth of a second after the other, summed over channels. What is shorter than a
    /// gating block counts as one, of which the standard does not speak.
    pub fn new(tenths: &[f32]) -> Self {
        let mean = |tenths: &[f32]| mean_of(tenths.iter().map(|power| f64::from(*power)).sum(), tenths.len());
        let blocks = tenths.windows(TENTHS.min(tenths.len().max(1))).map(mean);
        let mut blocks: Vec<f32> = blocks.map(kept).filter(|power| *power > 0.0).collect();
        blocks.sort_unstable_by(|a, b| b.total_cmp(a));
        let mut sums = vec![0.0];
        for power in &blocks {
            sums.push(sums[sums.len() - 1] + f64::from(*power));
        }
        Self { blocks, sums }
    }

    /// Integrated loudness in LUFS; `None` for silence. A signal of which every block is below the absolute gate, where the standard
    /// measures nothing, is told as if there were none.
    pub fn lufs(&self) -> Option<f64> {
        self.power().map(|power| OFFSET_LUFS + 10.0 * power.log10())
    }

    /// The same as a K-weighted mean square.
    fn power(&self) -> Option<f64> {
        let heard = self.above_gate();
        let counted = if heard > 0 { heard } else { self.blocks.len() };
        (counted > 0).then(|| self.power_of(counted))
    }

    /// Whether the absolute gate lets nothing of it pass.
    pub fn is_below_gate(&self) -> bool {
        self.above_gate() == 0
    }

    /// The factor on this signal's samples that gives it the loudness of `other`, by the gates as they hear it then; `None` if either is
    /// silent.
    ///
    /// Which blocks the absolute gate passes depends on the gain, and the gain on which it passes: every possible number of them is
    /// tried. Where a block that comes in lowers the mean, two gains may do, or none may exactly: then the one that misses least, by
    /// meters too that differ in a hundredth of a decibel or two and hear a block that stands on the gate the other way.
    pub fn gain_to(&self, other: &Self) -> Option<f64> {
        let (all, wanted) = (self.blocks.len(), other.power()?);
        if all == 0 {
            return None;
        }
        if other.is_below_gate() {
            return Some((wanted / self.power_of(all)).sqrt());
        }
        let gate = mean_square(ABSOLUTE_GATE_LUFS);
        let candidate = |passing: usize| {
            // The quietest that passes must, the loudest that does not must not.
            let least = gate / f64::from(self.blocks[passing - 1]) * (1.0 + 1e-6);
            let most = self.blocks.get(passing).map_or(f64::INFINITY, |power| gate / f64::from(*power));
            let power = (wanted / self.power_of(passing)).clamp(least.min(most), most);
            let off =
                |gate: f64| (power * self.power_of(self.above(gate / power).max(1)) / wanted).ln().abs();
            let off = [1.0 / ON_THE_GATE, 1.0, ON_THE_GATE].map(|factor| off(factor * gate));
            (off.into_iter().fold(0.0, f64::max), power)
        };
        let best = (1..=all).map(candidate).min_by(|a, b| a.0.total_cmp(&b.0));
        best.map(|(_, power)| power.sqrt())
    }

    /// How many blocks are above a mean square.
    fn above(&self, gate: f64) -> usize {
        self.blocks.partition_point(|power| f64::from(*power) > gate)
    }

    fn above_gate(&self) -> usize {
        self.above(mean_square(ABSOLUTE_GATE_LUFS))
    }

    /// Mean square of what the relative gate leaves of the loudest `passing` blocks, at least one.
    fn power_of(&self, passing: usize) -> f64 {
        let mean = |blocks: usize| mean_of(self.sums[blocks], blocks);
        let gate = RELATIVE_GATE * mean(passing);
        mean(passing.min(self.above(gate)))
    }
}

/// A mean square as it is kept; what is too large for it, or for any number, is as large as can be, so that a gain stays one.
#[expect(clippy::cast_possible_truncation, reason = "seven digits of an energy are enough")]
pub(super) fn kept(power: f64) -> f32 {
    power.min(f64::from(f32::MAX)) as f32
}

/// The K-weighted mean square of a loudness.
fn mean_square(lufs: f64) -> f64 {
    10f64.powf((lufs - OFFSET_LUFS) / 10.0)
}

#[expect(clippy::cast_precision_loss, reason = "blocks of a take, far below 2^52")]
fn mean_of(sum: f64, count: usize) -> f64 {
    sum / count as f64
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    use super::super::LoudnessMeter;
    use super::*;

    const RATE_HZ: u32 = 8_000;

    /// By a meter that is not ours.
    fn ebur128_lufs(signal: &[f64]) -> f64 {
        let mut meter = ebur128::EbuR128::new(1, RATE_HZ, ebur128::Mode::I).unwrap();
        meter.add_frames_f64(signal).unwrap();
        meter.loudness_global().unwrap()
    }

    fn measured(signal: &[f64]) -> Loudness {
        let mut meter = LoudnessMeter::new(RATE_HZ, 1, 1);
        meter.add(&[signal]);
        meter.finish().remove(0)
    }

    /// Notes: each has a level and a pitch, and dies away over a second or so; some are rests.
    fn music() -> impl Strategy<Value = Vec<f64>> {
        let note = (-50.0..0.0_f64, 60.0..900.0_f64, 0.1..3.0_f64, proptest::bool::weighted(0.2));
        proptest::collection::vec(note, 3..24).prop_map(|notes| {
            let mut signal = Vec::new();
            for (db, hz, decay, rest) in notes {
                let amplitude = if rest { 0.0 } else { 10f64.powf(db / 20.0) };
                signal.extend((0..RATE_HZ).map(|frame| {
                    let seconds = f64::from(frame) / f64::from(RATE_HZ);
                    amplitude * (std::f64::consts::TAU * hz * seconds).sin() * (-seconds / decay).exp()
                }));
            }
            signal
        })
    }

    fn louder(signal: &[f64], gain: f64) -> Vec<f64> {
        signal.iter().map(|sample| sample * gain).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

        /// Whatever was lost, and however quiet the take: what is written at the gain is as loud as the take, by the `ebur128` crate. Where
        /// a block stands on the gate the loudness jumps over the take's; then no other gain comes nearer.
        #[test]
        fn what_is_written_is_as_loud_as_the_take(
            music in music(), take_lufs in -60.0..-10.0_f64, lost_db in 0.0..60.0_f64, slope in 0.0..0.9_f64,
        ) {
            prop_assume!(ebur128_lufs(&music).is_finite());
            let take = louder(&music, 10f64.powf((take_lufs - ebur128_lufs(&music)) / 20.0));
            prop_assume!(ebur128_lufs(&take).is_finite());
            // A high-pass of a kind, so that notes lose differently.
            let mut before = 0.0;
            let lost = |sample: &f64| 10f64.powf(-lost_db / 20.0) * (sample - slope * std::mem::replace(&mut before, *sample));
            let rendering: Vec<f64> = take.iter().map(lost).collect();
            let gain = measured(&rendering).gain_to(&measured(&take)).unwrap();
            let off_lu = |db: f64| {
                let written = louder(&rendering, gain * 10f64.powf(db / 20.0));
                (ebur128_lufs(&written) - ebur128_lufs(&take)).abs()
            };
            let reached = off_lu(0.0);
            let nearest = || (-100..=100).map(|step| off_lu(0.01 * f64::from(step))).fold(f64::INFINITY, f64::min);
            prop_assert!(reached < 0.05 || reached < nearest() + 0.1, "off by {reached} LU, {} can be", nearest());
        }
    }

    /// Floats hold samples whose energy is beyond any number: a gain is one all the same, and what follows is measured as ever.
    #[test]
    fn samples_beyond_all_measure() {
        let tone: Vec<f64> = (0..8 * RATE_HZ).map(|frame| (0.3 * f64::from(frame)).sin()).collect();
        for height in [1e20, 1e150, 1e300] {
            let mut take = tone.clone();
            take[20_000] = height;
            let gain = measured(&take).gain_to(&measured(&tone)).unwrap();
            assert!(gain.is_finite() && gain > 0.0, "{height}: {gain}");
            let gain = measured(&tone).gain_to(&measured(&take)).unwrap();
            assert!(gain.is_finite() && gain > 0.0, "{height}: {gain}");
        }
        let mut meter = LoudnessMeter::new(RATE_HZ, 1, 1);
        meter.add(&[&[1e300, -1e300, 1e300]]);
        meter.add(&[&tone]);
        let lowest = meter.finish()[0].blocks.last().copied().unwrap();
        assert_abs_diff_eq!(lowest, measured(&tone).blocks[0], epsilon = 0.01);
    }

    /// What no gate passes is matched all the same, and only silence is not.
    #[test]
    fn below_the_gate_and_silence() {
        let tone: Vec<f64> = (0..RATE_HZ).map(|frame| (0.3 * f64::from(frame)).sin()).collect();
        let (quiet, quieter) = (measured(&louder(&tone, 1e-4)), measured(&louder(&tone, 1e-9)));
        assert!(quiet.is_below_gate() && quieter.is_below_gate());
        assert_abs_diff_eq!(quieter.gain_to(&quiet).unwrap(), 1e5, epsilon = 1.0);
        assert_abs_diff_eq!(quiet.lufs().unwrap() - quieter.lufs().unwrap(), 100.0, epsilon = 1e-3);
        let silence = measured(&[0.0; 4000]);
        assert_eq!((silence.lufs(), silence.gain_to(&quiet), quiet.gain_to(&silence)), (None, None, None));
        assert_eq!(measured(&[]).lufs(), None);
        // Shorter than a block: the mean square of all there is, for a sine within rounding that of a longer one.
        let short = measured(&tone[..2000]);
        assert_abs_diff_eq!(short.lufs().unwrap(), measured(&tone).lufs().unwrap(), epsilon = 0.2);
    }
}
