//! The way of sound through the core: one processor for channels of one shape, or one for each channel, and the gain that
//! matches their loudness.

use arrayvec::ArrayVec;
use dsp_core::loudness::LoudnessPredictor;
use dsp_core::processor::{ChangeError, GuardStatus, Processor, ProcessorError};
use dsp_core::response::Shape;

use crate::engine::MAX_CHANNELS;
use crate::params::SETUPS;
use crate::snapshot::Shapes;

/// The matching gain follows the music this slowly, so that it is not heard to move.
const FOLLOW_MS: f64 = 200.0;
/// It stays where it is until it is off by more than this.
const FOLLOW_DB: f64 = 0.05;
/// No matching gain is larger, up or down.
pub(crate) const MATCHING_DB: f64 = 40.0;

pub(crate) struct Path {
    /// One for all channels, or one for each.
    processors: ArrayVec<Processor, MAX_CHANNELS>,
    predictor: LoudnessPredictor,
    /// The prediction that the gain was last made from.
    version: u64,
    /// The last prediction for each setup, in dB.
    matching_db: [f64; SETUPS],
    /// The gain that the processors were last told, in dB.
    gain_db: f64,
}

impl Path {
    /// For channels of one shape.
    ///
    /// # Errors
    /// If the core does not process at this rate.
    pub fn together(rate_hz: f64, channels: usize) -> Result<Self, ProcessorError> {
        let processors = ArrayVec::from_iter([Processor::new(rate_hz, channels)?]);
        Ok(Self::new(processors, LoudnessPredictor::new(rate_hz, channels)))
    }

    /// For channels of a shape each.
    ///
    /// # Errors
    /// If the core does not process at this rate.
    pub fn apart(rate_hz: f64) -> Result<Self, ProcessorError> {
        let processor = Processor::new(rate_hz, 1)?;
        let processors = std::iter::repeat_n(processor, MAX_CHANNELS).collect();
        Ok(Self::new(processors, LoudnessPredictor::apart(rate_hz, MAX_CHANNELS)))
    }

    const fn new(processors: ArrayVec<Processor, MAX_CHANNELS>, predictor: LoudnessPredictor) -> Self {
        Self { processors, predictor, version: 0, matching_db: [0.0; SETUPS], gain_db: 0.0 }
    }

    /// Forgets all sound. Until the first frame, changes take effect at once.
    pub fn reset(&mut self) {
        self.processors.iter_mut().for_each(Processor::reset);
        self.predictor.reset();
        self.version = self.predictor.version();
        self.matching_db = [0.0; SETUPS];
    }

    /// The gain that brings a setup to the loudness of the take, in dB, to be kept.
    pub fn matching_db(&mut self, setup: usize, shapes: &Shapes) -> f64 {
        self.matching_db[setup] = self.predicted_db(setup, shapes);
        self.matching_db[setup]
    }

    /// The same, but nothing is kept.
    pub fn predicted_db(&self, setup: usize, shapes: &Shapes) -> f64 {
        let wanted_db = match shapes.as_slice() {
            [first, _] if self.processors.len() == 1 => -self.predictor.change_lu(first),
            [shape] => -self.predictor.change_lu(shape),
            shapes => -self.predictor.change_apart_lu(shapes),
        };
        // Input beyond all measure leaves no prediction; then the last one stands.
        if wanted_db.is_finite() {
            wanted_db.clamp(-MATCHING_DB, MATCHING_DB)
        } else {
            self.matching_db[setup]
        }
    }

    /// Changes shapes and gain, along the core's way from one setup to another.
    ///
    /// # Errors
    /// If one cannot be played; then what was heard before stays.
    pub fn change(&mut self, shapes: &[Shape], gain_db: f64, guard: bool) -> Result<(), ChangeError> {
        for (processor, shape) in self.processors.iter_mut().zip(shapes) {
            processor.set_guard(guard);
            processor.change(shape, factor(gain_db))?;
        }
        self.gain_db = gain_db;
        Ok(())
    }

    /// Whether there is a new prediction since the last call.
    pub fn has_news(&mut self) -> bool {
        let version = self.predictor.version();
        std::mem::replace(&mut self.version, version) != version
    }

    /// Keeps the gain with the music.
    ///
    /// # Errors
    /// If it is beyond all measure; then it stays.
    pub fn follow(&mut self, gain_db: f64) -> Result<(), ChangeError> {
        if (gain_db - self.gain_db).abs() > FOLLOW_DB {
            for processor in &mut self.processors {
                processor.set_gain(factor(gain_db), FOLLOW_MS)?;
            }
            self.gain_db = gain_db;
        }
        Ok(())
    }

    /// Frames until there can be a new prediction.
    pub fn frames_to_news(&self) -> usize {
        self.predictor.frames_to_update()
    }

    /// Lets the predictor hear input.
    pub fn listen(&mut self, block: &mut [&mut [f32]]) {
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        self.predictor.push(block, 0, frames);
    }

    /// Processes in place.
    pub fn process(&mut self, block: &mut [&mut [f32]]) {
        match self.processors.as_mut_slice() {
            [all] => all.process(block),
            each => {
                let channels = block.chunks_mut(1);
                each.iter_mut().zip(channels).for_each(|(processor, channel)| processor.process(channel));
            }
        }
    }

    /// Seconds that the response rings on; infinite for an undo without ceiling.
    pub fn tail_seconds(&self) -> f64 {
        self.processors.iter().map(Processor::tail_seconds).fold(0.0, f64::max)
    }

    /// How the guards are. What closes both channels' is heard as one.
    pub fn guard_status(&self) -> GuardStatus {
        let all = self.processors.iter().map(Processor::guard_status);
        all.fold(GuardStatus::default(), |all, one| GuardStatus {
            active: all.active || one.active,
            closures: all.closures.max(one.closures),
            first_frame: None,
            cause: all.cause.or(one.cause),
        })
    }

    /// The gain that the processors were last told, in dB.
    #[cfg(test)]
    pub const fn gain_db(&self) -> f64 {
        self.gain_db
    }
}

fn factor(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}
