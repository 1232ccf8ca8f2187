use dsp_core::processor::{GuardStatus, Processor, ProcessorError};
use dsp_core::response::Shape;
use firstjack_sound::Format;

use super::pipe::Block;
use crate::error::Failure;

/// What turns blocks of the take into blocks of a rendering: one processor for all channels, or for a blend one for each, since
/// every pickup has a `K` of its own.
pub struct Voices {
    processors: Vec<Processor>,
    sum: bool,
}

impl Voices {
    /// For a take of this format, one shape a pickup; with `sum` the pickups of a blend become one channel.
    ///
    /// # Errors
    /// If a shape cannot be played.
    ///
    /// # Panics
    /// Never: the take's rate and channels were checked when it was opened.
    pub fn new(take: Format, shapes: &[Shape], guard: bool, sum: bool) -> Result<Self, Failure> {
        let each = usize::from(take.channels) / shapes.len();
        let processor = |shape: &Shape| {
            let made: Result<Processor, ProcessorError> = Processor::new(f64::from(take.rate_hz), each);
            let mut processor = made.expect("the take's format was checked").without_past();
            processor.set_guard(guard);
            processor.change(shape, 1.0).map_err(|error| Failure::Usage(error.to_string()))?;
            Ok(processor)
        };
        Ok(Self { processors: shapes.iter().map(processor).collect::<Result<_, Failure>>()?, sum })
    }

    /// Works on a block in place, and gives the channels of the rendering.
    pub fn process<'a>(&mut self, block: &'a mut Block) -> &'a [Vec<f64>] {
        match self.processors.as_mut_slice() {
            [only] => only.process(block),
            each => {
                for (processor, channel) in each.iter_mut().zip(block.iter_mut()) {
                    processor.process(std::slice::from_mut(channel));
                }
            }
        }
        if self.sum { summed(block) } else { block }
    }

    /// Of all of them: closures added up, the first frame of any.
    pub fn guard_status(&self) -> GuardStatus {
        let all = self.processors.iter().map(Processor::guard_status);
        all.reduce(|one, other| GuardStatus {
            closures: one.closures + other.closures,
            first_frame: [one.first_frame, other.first_frame].into_iter().flatten().min(),
            cause: one.cause.or(other.cause),
            ..one
        })
        .unwrap_or_default()
    }
}

/// The sum of the channels, in the first one's place.
pub fn summed(block: &mut Block) -> &[Vec<f64>] {
    if let [first, rest @ ..] = block.as_mut_slice() {
        for channel in rest {
            first.iter_mut().zip(channel).for_each(|(sum, value)| *sum += *value);
        }
    }
    &block[..1]
}
