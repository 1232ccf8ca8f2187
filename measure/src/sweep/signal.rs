use std::f64::consts::PI;

/// The test sound: a logarithmic sweep, several times with silence between.
///
/// Its phase is that of an exponential sweep, `2π f0 (T / ln(f1/f0)) ((f1/f0)^(t/T) - 1)` (A. Farina, AES convention paper 5093, 2000; from
/// memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sweep {
    rate_hz: f64,
    level_db: f64,
}

impl Sweep {
    /// Where it begins, in Hz.
    pub const LOWEST_HZ: f64 = 15.0;
    /// Where it ends, in Hz, if the rate has so much: at most 0.45 of it.
    pub const HIGHEST_HZ: f64 = 21_000.0;
    /// One sweep, in seconds.
    pub const SECONDS: f64 = 2.0;
    /// How often it sounds.
    pub const COUNT: usize = 3;
    /// Silence before, between and after, in seconds.
    pub const GAP_SECONDS: f64 = 0.4;
    /// Fades at both ends of each, in seconds.
    const FADE_SECONDS: f64 = 0.05;

    /// At a rate in Hz, with its peak at `level_db` below full scale.
    pub fn new(rate_hz: f64, level_db: f64) -> Self {
        Self { rate_hz, level_db }
    }

    /// Where it ends, in Hz.
    pub fn highest_hz(&self) -> f64 {
        Self::HIGHEST_HZ.min(0.45 * self.rate_hz)
    }

    /// One sweep.
    pub fn once(&self) -> Vec<f64> {
        let octaves = (self.highest_hz() / Self::LOWEST_HZ).ln();
        let peak = 10f64.powf(self.level_db / 20.0);
        let turn = 2.0 * PI * Self::LOWEST_HZ * Self::SECONDS / octaves;
        (0..self.frames(Self::SECONDS))
            .map(|frame| {
                let seconds = f64::from(frame) / self.rate_hz;
                let phase = turn * ((octaves * seconds / Self::SECONDS).exp_m1());
                let edge = seconds.min(Self::SECONDS - seconds).max(0.0) / Self::FADE_SECONDS;
                let fade = 0.5 - 0.5 * (PI * edge.min(1.0)).cos();
                peak * fade * phase.sin()
            })
            .collect()
    }

    /// All of the test sound: silence, then each sweep with silence behind it.
    pub fn samples(&self) -> Vec<f64> {
        let once = self.once();
        let silence = || (0..self.frames(Self::GAP_SECONDS)).map(|_| 0.0);
        let all = (0..Self::COUNT).flat_map(|_| once.iter().copied().chain(silence()));
        silence().chain(all).collect()
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds of any rate")]
    fn frames(&self, seconds: f64) -> u32 {
        (seconds * self.rate_hz).round() as u32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "places in a few seconds"
    )]
    fn it_has_its_peak_its_length_and_its_silence() {
        for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
            let samples = Sweep::new(rate_hz, -20.0).samples();
            let seconds = samples.len() as f64 / rate_hz;
            assert!((seconds - 7.6).abs() < 1e-3, "{seconds} s");
            let peak = samples.iter().fold(0.0, |peak: f64, sample| peak.max(sample.abs()));
            assert!((peak - 0.1).abs() < 1e-5, "{peak}");
            let gap = &samples[(2.42 * rate_hz) as usize..(2.78 * rate_hz) as usize];
            assert!(gap.iter().all(|sample| *sample == 0.0));
        }
    }
}
