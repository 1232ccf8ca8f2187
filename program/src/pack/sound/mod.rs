//! From the take to what a page holds: each sound is rendered block by block, measured, brought to one loudness and encoded into a
//! temporary file.

mod anchor;
mod band;
mod decoded;
mod flac;
mod level;
mod opus;
mod rate;
mod spool;
mod waveform;

pub use decoded::{BandError, DecodedError};
pub use level::Levels;
pub use rate::frames_at;
pub use spool::{Codec, Encoded, Spool};

use dsp_core::processor::GuardStatus;
use dsp_core::response::Shape;

use super::excerpt::{Excerpt, seconds};
use crate::error::Failure;
use crate::progress::Progress;
use crate::render::{Take, Voices, run_pipe};

/// Channels of a page's sounds, at most.
const MOST_CHANNELS: u16 = 2;

/// What is done to a rendering: works on blocks in place, one vector a channel.
pub type Treatment = Box<dyn FnMut(&mut [Vec<f64>]) + Send>;

/// What one sound is made by.
pub struct Recipe {
    /// One a pickup.
    pub shapes: Vec<Shape>,
    pub treatment: Box<dyn Fn(f64, usize) -> Treatment>,
}

/// The take, and the part of it that is heard.
pub struct Stage<'a> {
    pub take: Take,
    pub excerpt: Excerpt,
    /// Whether the pickups of a blend become one channel.
    pub sum: bool,
    pub progress: &'a Progress,
}

impl Recipe {
    /// Shapes and nothing else.
    pub fn plain(shapes: Vec<Shape>) -> Self {
        Self { shapes, treatment: Box::new(|_, _| Box::new(|_| ())) }
    }

    /// The anchor of a comparison: everything above 3.5 kHz taken away.
    pub fn anchor(shapes: Vec<Shape>) -> Self {
        Self { shapes, treatment: Box::new(anchor::low_pass) }
    }

    /// The most boost of any track, in dB; what a desk adds has its own bound.
    pub fn boost_db(&self) -> f64 {
        self.shapes.iter().map(Shape::boost_db).fold(f64::NEG_INFINITY, f64::max)
    }
}

impl Stage<'_> {
    /// Channels of each sound.
    pub fn channels(&self) -> u16 {
        if self.sum { 1 } else { self.take.format().channels.min(MOST_CHANNELS) }
    }

    pub fn rate_hz(&self) -> u32 {
        self.take.format().rate_hz
    }

    /// Length of each sound.
    pub fn seconds(&self) -> f64 {
        seconds(self.excerpt.frames, f64::from(self.rate_hz()))
    }

    /// Plays a sound from beginning to end into `to`, block by block.
    pub fn play(
        &mut self,
        recipe: &Recipe,
        mut to: impl FnMut(&[Vec<f64>]) -> Result<(), Failure> + Send,
    ) -> Result<GuardStatus, Failure> {
        let channels = usize::from(self.channels());
        let mut voices = Voices::new(self.take.format(), &recipe.shapes, true, self.sum)?;
        let mut treatment = (recipe.treatment)(f64::from(self.rate_hz()), channels);
        let mut edges = self.excerpt.edges();
        run_pipe(
            &mut self.take,
            self.progress,
            |block| {
                voices.process(block);
            },
            |block| {
                let block = &mut block[..channels];
                treatment(block);
                edges.apply(block);
                to(block)
            },
        )?;
        Ok(voices.guard_status())
    }
}
