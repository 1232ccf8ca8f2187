//! A change from one filter to another while sound runs: both run side by side, and one gives way to the other.
//!
//! The one that comes in must be what it would be had it always run, or what its beginning excites is heard: an undo with a slow pole, begun in the
//! middle of a wave, swings up to twice as far as it should. So it first runs, unheard and faster than the sound, over what the
//! history keeps, as far back as its slowest pole remembers.

use super::channels::{CHUNK, Chunk, Pair};
use super::history::History;
use super::ramp::Ramp;
use super::voice::Voice;
use crate::response::Shape;

/// Frames of the past that a filter runs over in each frame until it has caught up.
const HASTE: usize = 16;

/// The filter that is heard, and the one before it while it fades.
#[derive(Debug, Clone)]
pub(super) struct Ride {
    /// The one that is heard, or is on its way in.
    now: Voice,
    /// The one on its way out.
    before: Voice,
    fade: Ramp,
    /// How far the one on its way in is behind, in frames.
    behind: usize,
    /// What came meanwhile and starts when this fade has landed: a shape and its gain.
    waiting: Option<(Shape, f64)>,
    /// The chunk once more, for the filter on its way out, or that of the past for the one on its way in.
    other: Vec<Chunk>,
    /// Of a change, in frames.
    length: f64,
}

impl Ride {
    /// Changes nothing yet. For so many pairs of channels and a length of each change in frames.
    pub fn new(rate_hz: f64, pairs: usize, length: f64) -> Self {
        let voice = Voice::new(rate_hz, pairs);
        Self {
            now: voice.clone(),
            before: voice,
            fade: Ramp::REST,
            behind: 0,
            waiting: None,
            other: vec![[Pair::default(); CHUNK]; pairs],
            length,
        }
    }

    /// Changes shape and gain together.
    pub fn change(&mut self, shape: &Shape, gain: f64, history: &History) {
        self.waiting = None;
        if shape == self.now.shape() {
            self.set_gain(gain, self.length);
        } else if self.fade.is_moving() {
            self.waiting = Some((*shape, gain));
        } else {
            self.start(shape, gain, history);
        }
    }

    /// Changes the gain alone, in so many frames; that of a change which waits, or is not heard yet, is there when it starts.
    pub fn set_gain(&mut self, gain: f64, length: f64) {
        if let Some((_, waiting)) = &mut self.waiting {
            *waiting = gain;
            return;
        }
        self.now.gain().set(gain, length);
        if self.fade.waits() {
            self.now.gain().land();
        }
    }

    fn start(&mut self, shape: &Shape, gain: f64, history: &History) {
        std::mem::swap(&mut self.now, &mut self.before);
        self.now.start(shape, gain);
        self.behind = remembered(self.now.past_frames(), history.available());
        // Each frame brings a new one, too.
        let unheard = u32::try_from(self.behind.div_ceil(HASTE - 1)).unwrap_or(u32::MAX);
        self.fade = Ramp::start_after(f64::from(unheard), self.length);
    }

    /// Starts what waits once the fade has landed; true if it has not moved on since.
    pub fn follow(&mut self, history: &History) -> bool {
        let landed = !self.fade.is_moving() && self.fade != Ramp::REST;
        if landed {
            self.fade = Ramp::REST;
            if let Some((shape, gain)) = self.waiting.take() {
                self.change(&shape, gain, history);
            }
        }
        landed
    }

    /// Ends all changes on exactly the last target, with nothing stored.
    pub fn land(&mut self) {
        self.fade = Ramp::REST;
        self.behind = 0;
        if let Some((shape, gain)) = self.waiting.take() {
            self.now.start(&shape, gain);
        }
        self.now.gain().land();
        self.now.clear();
    }

    /// What is heard when all changes are done.
    pub fn target(&self) -> &Shape {
        self.waiting.as_ref().map_or(self.now.shape(), |(shape, _)| shape)
    }

    /// Whether input passes unchanged, bit for bit.
    pub fn is_transparent(&self) -> bool {
        !self.fade.is_moving() && self.now.is_transparent()
    }

    /// Whether what is heard is on its way anywhere.
    pub fn is_moving(&self) -> bool {
        self.fade.is_moving() || self.now.is_moving()
    }

    /// Forgets what is stored.
    pub fn clear(&mut self) {
        self.now.clear();
        self.before.clear();
    }

    pub fn flush_denormals(&mut self) {
        self.now.flush_denormals();
        if self.fade.is_moving() {
            self.before.flush_denormals();
        }
    }

    /// The most by which what is heard can make a steady tone louder, and for how many frames at most it remembers what came in.
    pub fn reach(&self) -> (f64, f64) {
        let (now, before) = (&self.now, &self.before);
        if self.fade.is_moving() {
            let memory = now.memory_frames().max(before.memory_frames());
            (now.largest().max(before.largest()), memory)
        } else {
            (now.largest(), now.memory_frames())
        }
    }

    /// The one that is heard, to be broken on purpose.
    #[cfg(test)]
    pub const fn now(&mut self) -> &mut Voice {
        &mut self.now
    }

    /// Frames until the next shape would start at once, if one is on its way.
    pub fn frames_left(&self) -> Option<usize> {
        self.fade.is_moving().then(|| self.fade.frames_left())
    }

    /// Frames that may be [`run`](Self::run) at once at most, if there is a limit.
    pub fn frames_to_next(&self) -> Option<usize> {
        self.fade.is_moving().then(|| self.fade.frames_to_next())
    }

    /// Runs the first `frames` of the chunks, which the history already has. In `explained` it keeps how large each sample can be by what was
    /// asked for; left alone while nothing moves.
    pub fn run(&mut self, chunks: &mut [Chunk], frames: usize, history: &History, explained: &mut [Chunk]) {
        if !self.is_moving() {
            self.now.run(chunks, frames, None);
            return;
        }
        explained.fill([Pair::default(); CHUNK]);
        if !self.fade.is_moving() {
            self.now.run(chunks, frames, Some(explained));
        } else if self.fade.waits() {
            self.catch_up(frames, history);
            self.before.run(chunks, frames, Some(explained));
            self.fade.advance(as_f64(frames));
        } else {
            self.other.copy_from_slice(chunks);
            self.before.run(&mut self.other, frames, Some(explained));
            self.now.run(chunks, frames, Some(explained));
            self.mix(chunks, frames);
        }
    }

    fn mix(&mut self, chunks: &mut [Chunk], frames: usize) {
        for frame in 0..frames {
            let weight = self.fade.weight();
            for (incoming, outgoing) in chunks.iter_mut().zip(&self.other) {
                for (incoming, outgoing) in incoming[frame].iter_mut().zip(outgoing[frame]) {
                    *incoming = (1.0 - weight) * outgoing + weight * *incoming;
                }
            }
            self.fade.step();
        }
    }

    /// Lets the one on its way in run on while `frames` pass.
    fn catch_up(&mut self, frames: usize, history: &History) {
        self.behind += frames;
        let mut due = self.behind.min(HASTE * frames);
        while due > 0 {
            let part = due.min(CHUNK);
            for (pair, chunk) in self.other.iter_mut().enumerate() {
                history.read(pair, self.behind, &mut chunk[..part]);
            }
            self.now.catch_up(&mut self.other, part);
            self.behind -= part;
            due -= part;
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and no more than the history has"
)]
fn remembered(memory_frames: f64, available: usize) -> usize {
    memory_frames.min(as_f64(available)).ceil() as usize
}

#[expect(clippy::cast_precision_loss, reason = "a second's frames at most")]
fn as_f64(frames: usize) -> f64 {
    frames as f64
}
