//! Changes between filters whose structures differ: two run side by side, and one gives way to the other.
//!
//! The one that comes in begins with nothing stored, in the middle of a wave. What that excites must not be heard, so
//! it runs unheard for the length of a change before it fades in. (Heard from the start, filters with poles near 10 Hz came out up to
//! 1.8 dB louder than both ends on music, and resonances above 5 kHz left -107 dB of a tone; so it is 0.8 dB and -144 dB.)

use super::channels::{CHUNK, Chunk, Pair};
use super::curve::{Curve, Progress};
use super::voice::Voice;
use crate::response::Shape;

/// Weight of the filter that comes in.
const WEIGHT: Curve = Curve::starting(0.0, 1.0);

/// The filter that is heard, and the one before it while it fades.
#[derive(Debug, Clone)]
pub(super) struct Crossfade {
    /// The one that is heard, or is on its way in.
    now: Voice,
    /// The one on its way out.
    before: Voice,
    fade: Progress,
    saved_fade: Progress,
    /// What came meanwhile and starts when this fade has landed: a shape and its gain.
    waiting: Option<(Shape, f64)>,
    /// The chunk once more, for the filter on its way out.
    outgoing: Vec<Chunk>,
    /// Of a change, in frames.
    length: f64,
}

impl Crossfade {
    /// Changes nothing yet. For so many pairs of channels and a length of each change in frames.
    pub fn new(rate_hz: f64, pairs: usize, length: f64) -> Self {
        let voice = Voice::new(rate_hz, pairs);
        Self {
            now: voice.clone(),
            before: voice,
            fade: Progress::REST,
            saved_fade: Progress::REST,
            waiting: None,
            outgoing: vec![[Pair::default(); CHUNK]; pairs],
            length,
        }
    }

    /// Changes shape and gain together.
    pub fn change(&mut self, shape: &Shape, gain: f64) {
        self.waiting = None;
        if self.now.glide_to(shape, gain, self.length) {
            return;
        }
        if self.fade.is_moving() {
            self.waiting = Some((*shape, gain));
        } else {
            self.start(shape, gain);
        }
    }

    /// Changes the gain alone, in so many frames; that of a change which waits is there when it starts.
    pub fn set_gain(&mut self, gain: f64, length: f64) {
        match &mut self.waiting {
            Some((_, waiting)) => *waiting = gain,
            None => self.now.set_gain(gain, length),
        }
    }

    fn start(&mut self, shape: &Shape, gain: f64) {
        std::mem::swap(&mut self.now, &mut self.before);
        self.now.start(shape, gain);
        // What is only a gain stores nothing.
        let unheard = if shape.is_flat() { 0.0 } else { self.length };
        self.fade = Progress::start_after(unheard, self.length);
    }

    /// Starts what waits once the fade has landed.
    pub fn follow(&mut self) {
        if !self.fade.is_moving()
            && let Some((shape, gain)) = self.waiting.take()
        {
            self.change(&shape, gain);
        }
    }

    /// Ends all changes on exactly the last target.
    pub fn land(&mut self) {
        self.fade = Progress::REST;
        if let Some((shape, gain)) = self.waiting.take() {
            self.now.start(&shape, gain);
        }
        self.now.land();
    }

    /// What is heard when all changes are done.
    pub fn target(&self) -> &Shape {
        self.waiting.as_ref().map_or(self.now.target(), |(shape, _)| shape)
    }

    /// Whether input passes unchanged, bit for bit.
    pub fn is_transparent(&self) -> bool {
        !self.fade.is_moving() && self.now.is_transparent()
    }

    /// Forgets what is stored.
    pub fn clear(&mut self) {
        self.voices().for_each(Voice::clear);
    }

    pub fn flush_denormals(&mut self) {
        self.voices().for_each(Voice::flush_denormals);
    }

    /// Keeps all that [`run`](Self::run) changes.
    pub fn save(&mut self) {
        self.saved_fade = self.fade;
        self.voices().for_each(Voice::save);
    }

    pub fn restore(&mut self) {
        self.fade = self.saved_fade;
        self.voices().for_each(Voice::restore);
    }

    /// The voices that run.
    fn voices(&mut self) -> impl Iterator<Item = &mut Voice> {
        std::iter::once(&mut self.now).chain(self.fade.is_moving().then_some(&mut self.before))
    }

    /// Frames until the fade has landed, if one is under way. No [`run`](Self::run) may go beyond.
    pub fn frames_left(&self) -> Option<usize> {
        self.fade.is_moving().then(|| self.fade.frames_left())
    }

    /// Runs the frames `start..end` of the chunks.
    pub fn run(&mut self, chunks: &mut [Chunk], start: usize, end: usize) {
        if !self.fade.is_moving() {
            self.now.run(chunks, start, end);
            return;
        }
        self.outgoing.copy_from_slice(chunks);
        self.before.run(&mut self.outgoing, start, end);
        self.now.run(chunks, start, end);
        for frame in start..end {
            let weight = WEIGHT.at(self.fade.t().max(0.0));
            for (incoming, outgoing) in chunks.iter_mut().zip(&self.outgoing) {
                for (incoming, outgoing) in incoming[frame].iter_mut().zip(outgoing[frame]) {
                    *incoming = (1.0 - weight) * outgoing + weight * *incoming;
                }
            }
            self.fade.step();
        }
    }
}
