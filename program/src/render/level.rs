use super::measure::{Loudness, TruePeak};
use super::pipe;
use super::plan::{Plan, Rendering};
use super::take::Take;
use super::voices::summed;
use crate::error::Failure;
use crate::progress::Progress;

/// The gain of each rendering and where it comes from.
pub struct Levels {
    /// Integrated loudness of the take, if it was measured and is not silence.
    pub take_lufs: Option<f64>,
    /// Makes each rendering as loud as the take; `None` where no match was asked for, or one of the two is too quiet or
    /// too short to have a loudness.
    pub matching: Vec<Option<f64>>,
    /// All of the set is lowered by this factor, so that none clips.
    pub lowered: f64,
}

impl Levels {
    pub fn new(plan: &Plan, take: &mut Take, progress: &Progress) -> Result<Self, Failure> {
        let mut levels = Self { take_lufs: None, matching: vec![None; plan.renderings.len()], lowered: 1.0 };
        // A float file holds more than full scale, so unmatched it is left as the load makes it.
        if !plan.level_match && plan.format.encoding.is_float() {
            return Ok(levels);
        }
        progress.say("measuring");
        for (index, rendering) in plan.renderings.iter().enumerate() {
            let (lufs, true_peak) = levels.measure(plan, rendering, index == 0, take, progress)?;
            levels.matching[index] = match (levels.take_lufs, lufs) {
                (Some(_), Some(_)) if rendering.version.is_unchanged() => Some(1.0),
                (Some(wanted), Some(is)) => Some(10f64.powf((wanted - is) / 20.0)),
                _ => None,
            };
            // An unchanged take that is not part of a set is nobody's fault.
            let untouched = rendering.version.is_unchanged() && !plan.sum;
            if plan.level_match || !untouched {
                let peak = true_peak * levels.matching[index].unwrap_or(1.0);
                let highest = if untouched { 1.0 } else { plan.format.encoding.highest() };
                levels.lowered = levels.lowered.min(highest / peak);
            }
        }
        Ok(levels)
    }

    pub fn gain(&self, index: usize) -> f64 {
        self.matching[index].unwrap_or(1.0) * self.lowered
    }

    /// How often the take is played to measure it.
    pub fn passes(plan: &Plan) -> usize {
        if plan.level_match || !plan.format.encoding.is_float() { plan.renderings.len() } else { 0 }
    }

    /// One pass: loudness and true peak of a rendering, and the take's loudness along with the first.
    fn measure(
        &mut self,
        plan: &Plan,
        rendering: &Rendering,
        with_take: bool,
        take: &mut Take,
        progress: &Progress,
    ) -> Result<(Option<f64>, f64), Failure> {
        let mut of_take = (with_take && plan.level_match).then(|| Loudness::new(plan.format));
        let mut sum = Vec::new();
        let mut of_rendering = plan.level_match.then(|| Loudness::new(plan.format));
        let mut true_peak = TruePeak::new(plan.format);
        let mut voices = plan.voices(rendering)?;
        pipe::run(
            take,
            progress,
            |block| {
                if let Some(meter) = &mut of_take {
                    if plan.sum {
                        sum.clone_from(block);
                        meter.add(summed(&mut sum));
                    } else {
                        meter.add(block);
                    }
                }
            },
            |block| {
                let block = voices.process(block);
                of_rendering.iter_mut().for_each(|meter| meter.add(block));
                true_peak.add(block);
                Ok(())
            },
        )?;
        self.take_lufs = self.take_lufs.or(of_take.and_then(|meter| meter.lufs()));
        Ok((of_rendering.and_then(|meter| meter.lufs()), true_peak.highest()))
    }
}
