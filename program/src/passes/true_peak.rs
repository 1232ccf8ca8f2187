use ebur128::{EbuR128, Mode};

use super::fan::Block;

/// How far the true peak may lie above the largest sample: the sum of magnitudes of the longest phase of the
/// interpolator, rounded up. A test feeds the sequence that comes closest to it.
const TRUE_PEAK_OVER_SAMPLE_PEAK: f64 = 2.5;

/// The same of a signal of small steps, by the largest sample and the largest step from one to the next: points between are a mean of
/// samples, the nearest ones before all. Both rounded up from a windowed sinc's sums; a test looks for the worst.
const OVER_SAMPLE_PEAK: f64 = 1.02;
const OVER_STEP: f64 = 2.5;

/// Samples that are looked at together: one at a time each would wait for the one before.
const ABREAST: usize = 4;

/// Frames that are interpolated, or passed over, together.
const PIECE: usize = 512;

/// Frames of the past that the interpolator must have seen; more than it has taps.
const PAST: usize = 64;

/// The highest true peak (BS.1770, annex 2) of a signal that passes by. Exact, but cheap: a piece whose samples are so low that
/// no interpolated one can exceed the highest so far is not interpolated.
pub struct TruePeak {
    ebur: EbuR128,
    past: Block,
    /// Of the last piece.
    before: Extent,
    highest: f64,
}

/// The largest sample of a piece, and the largest step to one.
#[derive(Debug, Clone, Copy, Default)]
struct Extent {
    sample: f64,
    step: f64,
}

impl Extent {
    /// Of one channel, which comes after the sample `before`.
    fn of(before: f64, channel: &[f64]) -> Self {
        let Some((first, rest)) = channel.split_first() else { return Self::default() };
        let mut most = [Self { sample: first.abs(), step: (first - before).abs() }; ABREAST];
        let (from, to) = (channel[..rest.len()].chunks(ABREAST), rest.chunks(ABREAST));
        for (from, to) in from.zip(to) {
            for ((most, from), to) in most.iter_mut().zip(from).zip(to) {
                most.sample = larger(most.sample, to.abs());
                most.step = larger(most.step, (to - from).abs());
            }
        }
        most.into_iter().fold(Self::default(), Self::max)
    }

    fn max(self, other: Self) -> Self {
        Self { sample: self.sample.max(other.sample), step: self.step.max(other.step) }
    }

    /// No point between samples can be higher.
    fn bound(self) -> f64 {
        let by_steps = OVER_SAMPLE_PEAK * self.sample + OVER_STEP * self.step;
        by_steps.min(TRUE_PEAK_OVER_SAMPLE_PEAK * self.sample)
    }
}

impl TruePeak {
    pub fn new(rate_hz: u32, channels: usize) -> Self {
        Self {
            ebur: meter(rate_hz, channels),
            past: vec![vec![0.0; PAST]; channels],
            before: Extent::default(),
            highest: 0.0,
        }
    }

    /// The highest so far; full scale is one.
    pub fn highest(&self) -> f64 {
        self.highest
    }

    pub fn add(&mut self, block: &[Vec<f64>]) {
        let frames = block.first().map_or(0, Vec::len);
        for start in (0..frames).step_by(PIECE) {
            let end = frames.min(start + PIECE);
            let piece: Vec<&[f64]> = block.iter().map(|channel| &channel[start..end]).collect();
            self.add_piece(&piece);
        }
    }

    fn add_piece(&mut self, piece: &[&[f64]]) {
        let channels = self.past.iter().zip(piece).map(|(past, channel)| Extent::of(past[PAST - 1], channel));
        let extent = channels.fold(Extent::default(), Extent::max);
        // Points between the last piece and this one come out of the interpolator with this one.
        if extent.max(self.before).bound() > self.highest {
            self.interpolate(piece);
        }
        self.highest = self.highest.max(extent.sample);
        self.before = extent;
        for (past, channel) in self.past.iter_mut().zip(piece) {
            past.extend_from_slice(channel);
            past.drain(..past.len() - PAST);
        }
    }

    /// # Panics
    /// Never: a piece has the meter's channels, all of one length.
    fn interpolate(&mut self, piece: &[&[f64]]) {
        self.ebur.reset();
        let past: Vec<&[f64]> = self.past.iter().map(Vec::as_slice).collect();
        for frames in [&past, piece] {
            self.ebur.add_frames_planar_f64(frames).expect("the meter's own channels");
        }
        let channels = 0..self.ebur.channels();
        // Of the piece alone: the past has been looked at, and begins with a jump.
        let peaks = channels.map(|channel| self.ebur.prev_true_peak(channel).expect("the mode measures it"));
        self.highest = peaks.fold(self.highest, f64::max);
    }
}

/// The larger of two numbers, as one instruction does it.
fn larger(one: f64, other: f64) -> f64 {
    if one > other { one } else { other }
}

/// # Panics
/// Never: the meter takes any rate and channel count that a take may have.
fn meter(rate_hz: u32, channels: usize) -> EbuR128 {
    let channels = u32::try_from(channels).expect("at most 64");
    EbuR128::new(channels, rate_hz, Mode::TRUE_PEAK).expect("checked")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Signs that all add up at half a sample's distance, the worst case of an interpolator.
    #[test]
    fn true_peak_stays_within_the_stated_factor() {
        for rate_hz in [8_000, 44_100, 48_000, 96_000] {
            let sign = |i: i32| if (i < 100) == (i % 2 == 0) { 1.0 } else { -1.0 };
            let mut meter = TruePeak::new(rate_hz, 1);
            meter.add(&[(0..200).map(sign).collect()]);
            assert!(meter.highest() > 1.5, "{}: not the worst case", meter.highest());
            assert!(meter.highest() < TRUE_PEAK_OVER_SAMPLE_PEAK, "{}", meter.highest());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        /// Sines, steps and noise through low-passes of any kind: no true peak is beyond the bound.
        #[test]
        fn the_bound_holds(
            kind in 0..3_u8, corner in 0.001..1.0_f64, poles in 1..4_u8, seed: u64, rate_hz in 0..3_usize,
        ) {
            let rate_hz = [8_000, 48_000, 96_000][rate_hz];
            let mut rng = fastrand::Rng::with_seed(seed);
            let phase = rng.f64() * 6.3;
            let mut signal: Vec<f64> = (0..400).map(|frame| match kind {
                0 => (std::f64::consts::PI * corner * f64::from(frame) + phase).sin(),
                1 => if rng.f64() < 0.3 { 1.0 } else { -1.0 },
                _ => rng.f64() * 2.0 - 1.0,
            }).collect();
            if kind > 0 {
                for _ in 0..poles {
                    let mut low = 0.0;
                    for value in &mut signal {
                        low += corner * (*value - low);
                        *value = low;
                    }
                }
            }
            let mut whole = meter(rate_hz, 1);
            whole.add_frames_planar_f64(&[&signal]).unwrap();
            let bound = Extent::of(0.0, &signal).bound();
            let peak = whole.true_peak(0).unwrap();
            prop_assert!(peak <= bound, "{peak} beyond {bound}");
        }
    }

    /// Passing over pieces changes nothing: the same signal through the library's meter in one go.
    #[test]
    fn equals_interpolating_everything() {
        let mut rng = fastrand::Rng::with_seed(1);
        for loud_at in [0, 500, 511, 512, 1023, 1024, 5000, 8191] {
            let mut signal: Vec<f64> = (0..20_000).map(|_| rng.f64() * 0.2 - 0.1).collect();
            signal[loud_at] = 0.9;
            signal[loud_at + 1] = 0.9;
            let mut pieces = TruePeak::new(48_000, 1);
            signal.chunks(4096).for_each(|chunk| pieces.add(&[chunk.to_vec()]));
            let mut whole = meter(48_000, 1);
            whole.add_frames_planar_f64(&[&signal]).unwrap();
            assert!((pieces.highest() - whole.true_peak(0).unwrap()).abs() < 1e-12, "{loud_at}");
        }
    }
}
