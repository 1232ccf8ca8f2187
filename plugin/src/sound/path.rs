//! The way of sound through the core: one processor for channels of one shape, or one for each channel, and the gain that
//! matches their loudness.

use arrayvec::ArrayVec;
use dsp_core::loudness::LoudnessPredictor;
use dsp_core::processor::{GuardStatus, Processor, ProcessorError};
use dsp_core::response::Shape;

use crate::sound::MAX_CHANNELS;
use crate::sound::matching::Matching;

/// A matching gain moves this slowly, so that it is not heard to move.
const FOLLOW_MS: f64 = 1_000.0;

pub(crate) struct Path {
    /// One for all channels, or one for each.
    processors: ArrayVec<Processor, MAX_CHANNELS>,
    pub matching: Matching,
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

    fn new(processors: ArrayVec<Processor, MAX_CHANNELS>, predictor: LoudnessPredictor) -> Self {
        Self { processors, matching: Matching::new(predictor), gain_db: 0.0 }
    }

    /// Forgets all sound, but not what has been learned of the music. Until the first frame, changes take effect at once.
    pub fn reset(&mut self) {
        self.processors.iter_mut().for_each(Processor::reset);
        self.matching.reset();
    }

    /// Frames until a change of shapes that is under way has ended.
    pub fn frames_left(&self) -> Option<usize> {
        self.processors.iter().filter_map(Processor::frames_left).max()
    }

    /// Changes shapes and gain, along the core's way from one setup to another.
    ///
    /// # Errors
    /// If one cannot be played; then what was heard before stays.
    pub fn change(&mut self, shapes: &[Shape], gain_db: f64, guard: bool) -> Result<(), ProcessorError> {
        for (processor, shape) in self.processors.iter_mut().zip(shapes) {
            processor.set_guard(guard);
            processor.change(shape, factor(gain_db))?;
        }
        self.gain_db = gain_db;
        Ok(())
    }

    /// Brings the gain to where it belongs by now.
    ///
    /// # Errors
    /// If it is beyond all measure; then it stays.
    pub fn follow(&mut self, gain_db: f64) -> Result<(), ProcessorError> {
        if gain_db != self.gain_db {
            for processor in &mut self.processors {
                processor.set_gain(factor(gain_db), FOLLOW_MS)?;
            }
            self.gain_db = gain_db;
        }
        Ok(())
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
