use dsp_core::loudness::Loudness;

use super::plan::Plan;
use super::take::Take;
use crate::error::Failure;
use crate::passes::{self, Levels, Limit, Playback};
use crate::progress::Progress;

/// What is known of a set before it is written.
pub struct SetLevels {
    /// Integrated loudness of the take, if it was measured and is not silence.
    pub take_lufs: Option<f64>,
    pub set: Levels,
}

impl SetLevels {
    /// Whether measuring decides anything: a float file holds more than full scale, so unmatched it is left as the load makes it.
    pub fn are_needed(plan: &Plan) -> bool {
        plan.level_match || !plan.format.encoding.is_float()
    }

    /// Measures the take and all renderings in one pass, where that decides anything.
    pub fn new(plan: &Plan, take: &mut Take, progress: &Progress) -> Result<Self, Failure> {
        if !Self::are_needed(plan) {
            return Ok(Self { take_lufs: None, set: Levels::unmeasured(plan.renderings.len()) });
        }
        progress.say("measuring");
        let playback = |rendering| -> Result<Playback, Failure> {
            let playback = plan.playback(rendering)?;
            Ok(if plan.is_take(rendering) { playback.without_peak() } else { playback })
        };
        let mut playbacks: Vec<Playback> = plan.renderings.iter().map(playback).collect::<Result<_, _>>()?;
        // In a set the take is one of the renderings.
        let unchanged = plan.renderings.iter().position(|rendering| rendering.version.is_unchanged());
        let reference = unchanged.unwrap_or_else(|| {
            playbacks.push(plan.take());
            playbacks.len() - 1
        });
        let measured = passes::measure(take, progress, playbacks, plan.format.channels)?;
        let of_take = plan.level_match.then(|| measured[reference].loudness.clone());
        let limit =
            |rendering| Limit { highest: plan.format.encoding.highest(), is_take: plan.is_take(rendering) };
        let limits = plan.renderings.iter().map(limit);
        let measured: Vec<_> = measured.into_iter().zip(limits).collect();
        Ok(Self {
            take_lufs: of_take.as_ref().and_then(Loudness::lufs),
            set: Levels::new(&measured, of_take.as_ref()),
        })
    }
}
