//! Sound: channels, changes of setup while it runs, and the guard.

mod channels;
mod explained;
#[cfg(test)]
mod fault;
mod first_order;
mod gain;
mod guard;
mod history;
mod ramp;
mod ride;
mod sample;
mod stages;
mod voice;

use thiserror::Error;

use crate::filter::Sections;
use crate::response::Shape;
use channels::{CHUNK, Channels};
use explained::Explained;
use guard::{Guard, Heard};
use history::History;
use ride::Ride;

pub use guard::{GuardCause, GuardStatus};
pub use sample::Sample;

/// What a [`Processor`] can't be made for, or be changed to; then what was heard before stays.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ProcessorError {
    /// The sample rate is outside what the filter is made for.
    #[error("cannot process at {given} Hz: accepted are {} to {} Hz", Sections::RATES_HZ.0, Sections::RATES_HZ.1)]
    Rate {
        /// The rate asked for, in Hz.
        given: f64,
    },
    /// No channels.
    #[error("cannot process 0 channels: accepted are 1 or more")]
    NoChannels,
    /// The shape is not finite, has no gain, a negative corner, or a pair of poles that does not decay.
    #[error("this circuit cannot be played: accepted are finite corners, and resonances that die away")]
    Shape,
    /// The gain is not a number that can be heard.
    #[error("a gain of {given} cannot be played: accepted are finite factors above zero")]
    Gain {
        /// The factor asked for.
        given: f64,
    },
}

/// Applies a [`Shape`] and a gain to any number of channels, in place and without latency. After
/// [`Processor::new`] nothing allocates, locks or panics.
///
/// ```
/// use dsp_core::processor::Processor;
/// use dsp_core::response::Shape;
///
/// let mut processor = Processor::new(48_000.0, 2)?;
/// processor.change(&Shape::first_order(1.0, 66.6, 26_257.0), 1.0)?;
/// let mut take = vec![vec![0.5_f32; 512]; 2];
/// processor.process(&mut take);
/// assert_eq!(take[0], take[1]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone)]
pub struct Processor {
    rate_hz: f64,
    ride: Ride,
    history: History,
    guard: Guard,
    explained: Explained,
    channels: Channels,
    /// Frames since the last reset.
    frame: u64,
    /// Until the first frame after a reset, changes take effect at once.
    fresh: bool,
    /// A fault may be in what is stored.
    forget: bool,
    /// Whether anything was on its way when it was last looked at what the filters can do.
    moved: bool,
}

impl Processor {
    /// Length of the smoothstep along which a setup changes, in milliseconds.
    pub const CHANGE_MS: f64 = 30.0;

    /// A processor that changes nothing yet.
    ///
    /// # Errors
    /// If the rate is outside [`Sections::RATES_HZ`] or there are no channels.
    pub fn new(rate_hz: f64, channels: usize) -> Result<Self, ProcessorError> {
        if !(Sections::RATES_HZ.0..=Sections::RATES_HZ.1).contains(&rate_hz) {
            return Err(ProcessorError::Rate { given: rate_hz });
        }
        if channels == 0 {
            return Err(ProcessorError::NoChannels);
        }
        let channels = Channels::new(channels);
        let pairs = channels.pairs();
        Ok(Self {
            rate_hz,
            ride: Ride::new(rate_hz, pairs, frames(Self::CHANGE_MS, rate_hz)),
            history: History::new(rate_hz, pairs),
            guard: Guard::new(rate_hz),
            explained: Explained::new(rate_hz, pairs),
            channels,
            frame: 0,
            fresh: true,
            forget: false,
            moved: false,
        })
    }

    /// The same without memory of the past, for a file whose shape is set before the first frame and stays. A filter that comes in later begins
    /// with nothing stored.
    #[must_use]
    pub fn without_past(mut self) -> Self {
        self.history.keep_nothing();
        self
    }

    /// Changes what is applied: a shape, and a gain (a plain factor, more than zero) on top of the shape's own; at
    /// once before the first frame after a reset.
    ///
    /// The new filter, with its gain, catches up with the sound unheard (for up to 70 ms, of most circuits for less than 10) and then fades in
    /// along a smoothstep of [`Self::CHANGE_MS`] while the old one fades out, so that what is heard is never louder than the louder of both. What
    /// comes before that has ended waits for its end, and of several only the last one counts. Of the same shape only the gain
    /// changes.
    ///
    /// # Errors
    /// If the shape or the gain cannot be played; then nothing changes.
    pub fn change(&mut self, shape: &Shape, gain: f64) -> Result<(), ProcessorError> {
        if !shape.is_valid() {
            return Err(ProcessorError::Shape);
        }
        self.ride.change(shape, checked(gain)?, &self.history);
        self.changed();
        Ok(())
    }

    /// Changes the gain (a plain factor, more than zero) that is applied on top of the shape, along a smoothstep of `over_ms`
    /// milliseconds; while a change is under way, that of what it leads to.
    ///
    /// # Errors
    /// If the gain is not finite or not positive; then nothing changes.
    pub fn set_gain(&mut self, gain: f64, over_ms: f64) -> Result<(), ProcessorError> {
        self.ride.set_gain(checked(gain)?, frames(over_ms, self.rate_hz));
        self.changed();
        Ok(())
    }

    fn changed(&mut self) {
        if self.fresh {
            self.ride.land();
        }
        self.explained.set(self.ride.reach());
        self.moved = self.ride.is_moving();
    }

    /// Switches the guard. Without it a runaway output is left alone; non-finite input is still kept out of the state.
    pub fn set_guard(&mut self, on: bool) {
        self.guard.set_on(on);
    }

    /// What the guard is doing and has done since the last reset.
    pub fn guard_status(&self) -> GuardStatus {
        self.guard.status()
    }

    /// Whether input passes unchanged, bit for bit.
    pub fn is_transparent(&self) -> bool {
        self.ride.is_transparent()
    }

    /// Frames until a change of shape that is under way has ended, and another one would begin at once.
    pub fn frames_left(&self) -> Option<usize> {
        self.ride.frames_left()
    }

    /// Forgets all sound and lands every change that is under way: what follows is as in a first run.
    pub fn reset(&mut self) {
        self.ride.land();
        self.history.clear();
        self.guard.reset();
        self.explained.clear();
        self.explained.set(self.ride.reach());
        self.channels.clear();
        (self.frame, self.fresh, self.forget) = (0, true, false);
    }

    /// How long the response (of the last change, also while that is on its way) rings on after the input ends, down by
    /// 120 dB, in seconds; infinite for an undo without ceiling.
    pub fn tail_seconds(&self) -> f64 {
        self.ride.target().tail_seconds()
    }

    /// Processes one block in place. Every channel has the same number of frames; channels beyond those the processor was
    /// made for are left alone.
    pub fn process<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C]) {
        let frames = block.iter_mut().map(|channel| channel.as_mut().len()).min().unwrap_or(0);
        let mut start = 0;
        while start < frames {
            self.fresh = false;
            let end = frames.min(start + self.frames_at_once());
            self.chunk(block, start, end);
            self.frame += (end - start) as u64;
            self.tidy();
            start = end;
        }
    }

    /// Up to the chunk's boundary or to where a change begins to be heard or lands.
    fn frames_at_once(&self) -> usize {
        let to_boundary = CHUNK - usize::try_from(self.frame % CHUNK as u64).unwrap_or(0);
        self.ride.frames_to_next().map_or(to_boundary, |left| left.min(to_boundary))
    }

    /// Between chunks, and only at frames that do not depend on the host's blocks.
    fn tidy(&mut self) {
        let boundary = self.frame.is_multiple_of(CHUNK as u64);
        if boundary {
            if std::mem::take(&mut self.forget) {
                self.ride.clear();
                self.history.clear();
                self.explained.clear();
            }
            self.ride.flush_denormals();
            self.explained.flush_denormals();
        }
        let landed = self.ride.follow(&self.history);
        let moving = self.ride.is_moving();
        if landed || boundary && (moving || self.moved) {
            self.explained.set(self.ride.reach());
            self.moved = moving;
        }
    }

    fn chunk<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C], start: usize, end: usize) {
        let frames = end - start;
        let not_finite = self.channels.load(block, start, end);
        self.history.write(self.channels.chunks(), frames);
        self.explained.listen(self.channels.chunks(), frames);
        let (transparent, moved) = (self.is_transparent(), self.ride.is_moving());
        if !transparent {
            self.ride.run(self.channels.chunks(), frames, &self.history, &mut self.explained.by_gains);
        }
        let passes = |processor: &Self| {
            let Self { explained, channels, guard, .. } = processor;
            let at_once = guard.is_on() && !moved;
            at_once && explained.explains_at_once(channels.all(), frames, guard.limit())
                || processor.fault(0, frames, moved).is_none()
        };
        if self.guard.is_open() && not_finite == 0 && passes(self) {
            self.channels.remember(0, frames);
            if transparent {
                return;
            }
        } else {
            for frame in 0..frames {
                let cause = if not_finite >> frame & 1 == 1 {
                    Some(GuardCause::NotFinite)
                } else if self.forget && !self.guard.is_open() {
                    // Only what is about to be forgotten.
                    None
                } else {
                    self.fault(frame, frame + 1, moved)
                };
                self.guarded(frame, cause);
            }
        }
        self.channels.store(block, start, end);
    }

    /// What is wrong with frames `start..end`.
    fn fault(&self, start: usize, end: usize, moved: bool) -> Option<GuardCause> {
        if !self.channels.within(start, end, self.guard.limit()) {
            return Some(GuardCause::Runaway);
        }
        let explained =
            !self.guard.is_on() || self.explained.explains(self.channels.all(), start, end, moved);
        (!explained).then_some(GuardCause::Unexplained)
    }

    /// One frame of the rare chunks in which the guard has something to do.
    fn guarded(&mut self, frame: usize, cause: Option<GuardCause>) {
        match self.guard.step(cause, self.frame + frame as u64) {
            Heard::Output => self.channels.remember(frame, frame + 1),
            Heard::Scaled { factor } => {
                self.channels.scale(frame, factor);
                self.channels.remember(frame, frame + 1);
            }
            Heard::Past { factor, shrink } => {
                self.channels.carry_on(frame, shrink, self.guard.limit(), factor);
            }
            Heard::Nothing { forget } => {
                if forget {
                    self.forget = true;
                    self.channels.clear();
                }
                self.channels.silence(frame);
            }
        }
    }
}

fn checked(gain: f64) -> Result<f64, ProcessorError> {
    if gain.is_finite() && gain > 0.0 { Ok(gain) } else { Err(ProcessorError::Gain { given: gain }) }
}

/// Whole frames, at least one (also where the time is not a number), at most so many that they can still be counted.
fn frames(milliseconds: f64, rate_hz: f64) -> f64 {
    (milliseconds * 1e-3 * rate_hz).round().max(1.0).min(f64::from(u32::MAX))
}

#[cfg(test)]
mod tests;
