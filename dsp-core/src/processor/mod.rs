//! Sound: channels, changes of setup while it runs, and the guard.

mod channels;
mod crossfade;
mod curve;
mod first_order;
mod glide;
mod guard;
mod sample;
mod stages;
mod voice;

use thiserror::Error;

use crate::filter::RATES_HZ;
use crate::response::Shape;
use channels::{CHUNK, Channels};
use crossfade::Crossfade;
use guard::{Guard, Heard};

pub use guard::GuardStatus;
pub use sample::Sample;

/// Length of the smoothstep along which a setup changes, in milliseconds.
pub const CHANGE_MS: f64 = 30.0;

/// What a [`Processor`] can't be made for.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ProcessorError {
    /// The sample rate is outside what the filter is made for.
    #[error("cannot process at {given} Hz: accepted are {} to {} Hz", RATES_HZ.0, RATES_HZ.1)]
    Rate {
        /// The rate asked for, in Hz.
        given: f64,
    },
    /// No channels.
    #[error("cannot process 0 channels: accepted are 1 or more")]
    NoChannels,
}

/// Applies a [`Shape`] and a gain to any number of channels, in place and without latency. After
/// [`Processor::new`] nothing allocates, locks or panics.
///
/// ```
/// use dsp_core::processor::Processor;
/// use dsp_core::response::Shape;
///
/// let mut processor = Processor::new(48_000.0, 2)?;
/// processor.change(&Shape::first_order(1.0, 66.6, 26_257.0), 1.0);
/// let mut take = vec![vec![0.5_f32; 512]; 2];
/// processor.process(&mut take);
/// assert_eq!(take[0], take[1]);
/// # Ok::<(), dsp_core::processor::ProcessorError>(())
/// ```
#[derive(Debug, Clone)]
pub struct Processor {
    rate_hz: f64,
    crossfade: Crossfade,
    guard: Guard,
    channels: Channels,
    /// Frames since the last reset.
    frame: u64,
    /// Until the first frame after a reset, changes take effect at once.
    fresh: bool,
}

impl Processor {
    /// A processor that changes nothing yet.
    ///
    /// # Errors
    /// If the rate is outside [`RATES_HZ`] or there are no channels.
    pub fn new(rate_hz: f64, channels: usize) -> Result<Self, ProcessorError> {
        if !(RATES_HZ.0..=RATES_HZ.1).contains(&rate_hz) {
            return Err(ProcessorError::Rate { given: rate_hz });
        }
        if channels == 0 {
            return Err(ProcessorError::NoChannels);
        }
        let channels = Channels::new(channels);
        Ok(Self {
            rate_hz,
            crossfade: Crossfade::new(rate_hz, channels.pairs(), frames(CHANGE_MS, rate_hz)),
            guard: Guard::new(rate_hz),
            channels,
            frame: 0,
            fresh: true,
        })
    }

    /// Changes what is applied: a shape, and a gain (a plain factor, more than zero) on top of the shape's own; at
    /// once before the first frame after a reset.
    ///
    /// Between shapes of first order or less both glide along a smoothstep of [`CHANGE_MS`]. For any other shape the new
    /// filter, with its gain, fades in along the same curve while the old one fades out, after having run unheard for as
    /// long again. What comes before that has ended waits for its end, and of several only the last one counts.
    ///
    /// A shape that cannot be (not finite, a gain that is not positive, a negative corner, a pair of poles that does
    /// not decay) or a gain that is not finite or not positive is left aside with the other.
    pub fn change(&mut self, shape: &Shape, gain: f64) {
        if !(shape.is_valid() && is_gain(gain)) {
            return;
        }
        self.crossfade.change(shape, gain);
        if self.fresh {
            self.crossfade.land();
        }
    }

    /// Changes the gain (a plain factor, more than zero) that is applied on top of the shape, along a smoothstep of `over_ms`
    /// milliseconds. A gain that is not finite or not positive is left aside.
    pub fn set_gain(&mut self, gain: f64, over_ms: f64) {
        if !is_gain(gain) {
            return;
        }
        self.crossfade.set_gain(gain, frames(over_ms, self.rate_hz));
        if self.fresh {
            self.crossfade.land();
        }
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
        self.crossfade.is_transparent()
    }

    /// Forgets all sound and lands every change that is under way: what follows is as in a first run.
    pub fn reset(&mut self) {
        self.crossfade.land();
        self.crossfade.clear();
        self.guard.reset();
        self.channels.clear();
        self.frame = 0;
        self.fresh = true;
    }

    /// How long the response (of the last change, also while that is on its way) rings on after the input ends, down by
    /// 120 dB, in seconds; infinite for an undo without ceiling.
    pub fn tail_seconds(&self) -> f64 {
        self.crossfade.target().tail_seconds()
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
            self.crossfade.follow();
            self.frame += (end - start) as u64;
            if self.frame.is_multiple_of(CHUNK as u64) {
                self.crossfade.flush_denormals();
            }
            start = end;
        }
    }

    /// Up to the chunk's boundary or to where a crossfade lands.
    fn frames_at_once(&self) -> usize {
        let to_boundary = CHUNK - usize::try_from(self.frame % CHUNK as u64).unwrap_or(0);
        self.crossfade.frames_left().map_or(to_boundary, |left| left.min(to_boundary))
    }

    fn chunk<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C], start: usize, end: usize) {
        let frames = end - start;
        let finite = self.channels.load(block, start, end);
        if self.guard.is_open() && finite {
            let limit = self.guard.limit();
            if self.is_transparent() {
                if self.channels.within(0, frames, limit) {
                    self.channels.remember(0, frames);
                    return;
                }
            } else {
                self.crossfade.save();
                self.crossfade.run(self.channels.chunks(), 0, frames);
                if self.channels.within(0, frames, limit) {
                    self.channels.remember(0, frames);
                    self.channels.store(block, start, end);
                    return;
                }
                self.crossfade.restore();
                self.channels.load(block, start, end);
            }
        }
        self.guarded(frames);
        self.channels.store(block, start, end);
    }

    /// Frame by frame, for the rare chunks in which the guard has something to do.
    fn guarded(&mut self, frames: usize) {
        let limit = self.guard.limit();
        for frame in 0..frames {
            let finite = self.channels.replace_non_finite(frame);
            self.crossfade.run(self.channels.chunks(), frame, frame + 1);
            let within = self.channels.within(frame, frame + 1, limit);
            match self.guard.step(finite, within, self.frame + frame as u64) {
                Heard::Output => self.channels.remember(frame, frame + 1),
                Heard::Scaled { factor } => {
                    self.channels.scale(frame, factor);
                    self.channels.remember(frame, frame + 1);
                }
                Heard::Past { factor, shrink } => self.channels.carry_on(frame, shrink, limit, factor),
                Heard::Nothing { forget } => {
                    if forget {
                        self.crossfade.clear();
                        self.channels.clear();
                    }
                    self.channels.silence(frame);
                }
            }
        }
    }
}

fn is_gain(gain: f64) -> bool {
    gain.is_finite() && gain > 0.0
}

/// Whole frames, at least one (also where the time is not a number), at most so many that they can still be counted.
fn frames(milliseconds: f64, rate_hz: f64) -> f64 {
    (milliseconds * 1e-3 * rate_hz).round().max(1.0).min(f64::from(u32::MAX))
}
