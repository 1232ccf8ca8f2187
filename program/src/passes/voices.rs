use dsp_core::processor::{GuardStatus, Processor, ProcessorError};
use dsp_core::response::Shape;
use firstjack_sound::Format;

use super::fan::Block;
use crate::error::Failure;

/// What changes blocks of a take: one processor for all channels, or for a blend one for each, since every pickup has a `K` of
/// its own.
pub struct Voices(Vec<Processor>);

impl Voices {
    /// For a take of this format, one shape a pickup.
    ///
    /// # Errors
    /// If a shape cannot be played.
    ///
    /// # Panics
    /// Never: the take's rate and channels were checked when it was opened.
    pub fn new(take: Format, shapes: &[Shape], guard: bool) -> Result<Self, Failure> {
        let each = usize::from(take.channels) / shapes.len();
        let processor = |shape: &Shape| {
            let made: Result<Processor, ProcessorError> = Processor::new(f64::from(take.rate_hz), each);
            let mut processor = made.expect("the take's format was checked").without_past();
            processor.set_guard(guard);
            processor.change(shape, 1.0).map_err(|error| Failure::Usage(error.to_string()))?;
            Ok(processor)
        };
        Ok(Self(shapes.iter().map(processor).collect::<Result<_, Failure>>()?))
    }

    /// Works on a block in place.
    pub fn process(&mut self, block: &mut Block) {
        match self.0.as_mut_slice() {
            [only] => only.process(block),
            each => {
                for (processor, channel) in each.iter_mut().zip(block.iter_mut()) {
                    processor.process(std::slice::from_mut(channel));
                }
            }
        }
    }

    /// Of all of them: closures added up, the first frame of any.
    pub fn guard_status(&self) -> GuardStatus {
        let all = self.0.iter().map(Processor::guard_status);
        all.reduce(|one, other| GuardStatus {
            closures: one.closures + other.closures,
            first_frame: [one.first_frame, other.first_frame].into_iter().flatten().min(),
            cause: one.cause.or(other.cause),
            ..one
        })
        .unwrap_or_default()
    }
}
