use dsp_core::processor::GuardStatus;
use firstjack_sound::Format;

use super::waveform::Waveform;
use super::{Recipe, Stage};
use crate::error::Failure;
use crate::render::{Loudness, TruePeak};

/// The highest true peak of a page's sounds: room for what an encoder puts on top (-1 dBTP as in EBU R 128).
const HIGHEST_TRUE_PEAK_DB: f64 = -1.0;

/// How loud each sound is, and what brings all to one loudness.
pub struct Levels {
    pub each: Vec<Level>,
    /// All of the set is lowered by this factor, so that none clips.
    pub lowered: f64,
    pub waveform: Waveform,
}

/// Of one sound.
#[derive(Debug, Clone, Copy)]
pub struct Level {
    /// Integrated loudness (ITU-R BS.1770) before the match; `None` for silence, and for what is too short.
    pub lufs: Option<f64>,
    /// Makes it as loud as the first.
    pub matching: Option<f64>,
    pub guard: GuardStatus,
}

impl Level {
    /// The gain of the match, in dB.
    pub fn matching_db(&self) -> Option<f64> {
        self.matching.map(|gain| 20.0 * gain.log10())
    }
}

impl Levels {
    /// Plays every sound once; the first is the reference.
    pub fn measure(stage: &mut Stage, recipes: &[&Recipe]) -> Result<Self, Failure> {
        stage.progress.set_message("measuring");
        let format = Format { channels: stage.channels(), ..stage.take.format() };
        let mut levels =
            Self { each: Vec::new(), lowered: 1.0, waveform: Waveform::new(stage.excerpt.frames) };
        for (index, recipe) in recipes.iter().enumerate() {
            let (mut loudness, mut true_peak) = (Loudness::new(format), TruePeak::new(format));
            let waveform = &mut levels.waveform;
            let guard = stage.play(recipe, |block| {
                loudness.add(block);
                true_peak.add(block);
                if index == 0 {
                    waveform.add(block);
                }
                Ok(())
            })?;
            let lufs = loudness.lufs();
            let wanted = levels.each.first().map_or(lufs, |first: &Level| first.lufs);
            let matching = wanted.zip(lufs).map(|(wanted, is)| 10f64.powf((wanted - is) / 20.0));
            let highest = 10f64.powf(HIGHEST_TRUE_PEAK_DB / 20.0);
            levels.lowered = levels.lowered.min(highest / (true_peak.highest() * matching.unwrap_or(1.0)));
            levels.each.push(Level { lufs, matching, guard });
        }
        Ok(levels)
    }

    /// What a sound is stored with.
    pub fn gain(&self, index: usize) -> f64 {
        self.each[index].matching.unwrap_or(1.0) * self.lowered
    }

    /// What takes the match away again from what is stored, all by one scale: one for the loudest.
    pub fn truth_gain(&self, index: usize) -> f64 {
        let matching = |level: &Level| level.matching.unwrap_or(1.0);
        let loudest = self.each.iter().map(matching).fold(f64::INFINITY, f64::min);
        loudest / matching(&self.each[index])
    }
}
