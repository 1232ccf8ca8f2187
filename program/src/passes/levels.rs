use dsp_core::loudness::Loudness;
use dsp_core::processor::GuardStatus;

use super::measure::Measured;

/// The gain of each version, and where it comes from.
pub struct Levels {
    pub each: Vec<Level>,
    /// All are lowered by this factor, so that none exceeds its limit.
    pub lowered: f64,
}

/// Of one version.
#[derive(Debug, Clone, Copy)]
pub struct Level {
    /// Integrated loudness (ITU-R BS.1770) before the match; `None` for silence.
    pub lufs: Option<f64>,
    /// Makes it as loud as the take; `None` where no match was asked for, or one of the two is silent.
    pub matching: Option<f64>,
    pub guard: GuardStatus,
}

/// How high a version's true peak may be; full scale is one.
#[derive(Debug, Clone, Copy)]
pub struct Limit {
    pub highest: f64,
    /// The take itself: it is what it is, and nobody's fault.
    pub is_take: bool,
}

impl Levels {
    /// From what was measured, each with its limit; matched to a loudness, if that is asked for.
    pub fn new(measured: &[(Measured, Limit)], matched_to: Option<&Loudness>) -> Self {
        let mut levels = Self { each: Vec::new(), lowered: 1.0 };
        for (measured, limit) in measured {
            let gain = |take| if limit.is_take { Some(1.0) } else { measured.loudness.gain_to(take) };
            let matching = matched_to.filter(|take| take.lufs().is_some()).and_then(gain);
            if !limit.is_take {
                let peak = measured.true_peak * matching.unwrap_or(1.0);
                levels.lowered = levels.lowered.min(limit.highest / peak);
            }
            levels.each.push(Level { lufs: measured.loudness.lufs(), matching, guard: measured.guard });
        }
        levels
    }

    /// Of so many versions that nothing is to be known of.
    pub fn unmeasured(count: usize) -> Self {
        let level = Level { lufs: None, matching: None, guard: GuardStatus::default() };
        Self { each: vec![level; count], lowered: 1.0 }
    }

    /// What takes the match away again from what is written, all by one scale: one for the loudest.
    pub fn truth_gain(&self, index: usize) -> f64 {
        let matching = |level: &Level| level.matching.unwrap_or(1.0);
        let loudest = self.each.iter().map(matching).fold(f64::INFINITY, f64::min);
        loudest / matching(&self.each[index])
    }

    /// What a version is written with.
    pub fn gain(&self, index: usize) -> f64 {
        self.each[index].matching.unwrap_or(1.0) * self.lowered
    }
}

impl Level {
    /// The gain of the match, in dB.
    pub fn matching_db(&self) -> Option<f64> {
        self.matching.map(|gain| 20.0 * gain.log10())
    }
}
