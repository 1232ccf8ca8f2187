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

pub use anchor::Cut;
pub use decoded::{BandError, DecodedError};
pub use level::measure;
pub use rate::frames_at;
pub use spool::{Codec, Encoded, Spool, Spooled};
pub use waveform::Waveform;

use dsp_core::response::Shape;

use crate::error::Failure;
use crate::passes::{Excerpt, Playback, Treatment, seconds};
use crate::progress::Progress;
use crate::render::Take;

/// Channels of a page's sounds, at most.
const MOST_CHANNELS: u16 = 2;

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

    /// The anchor of a comparison: what is heard through `shapes` without the lows, or the highs.
    pub fn anchor(shapes: Vec<Shape>, cut: Cut) -> Self {
        Self { shapes, treatment: Box::new(move |rate_hz, channels| cut.treatment(rate_hz, channels)) }
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

    /// What plays a sound from beginning to end.
    pub fn version(&self, recipe: &Recipe) -> Result<Playback, Failure> {
        let (format, channels) = (self.take.format(), self.channels());
        let treatment = (recipe.treatment)(f64::from(format.rate_hz), channels.into());
        let version = Playback::new(format, &recipe.shapes, true, self.sum, channels)?;
        Ok(version.with(Some(treatment), Some(self.excerpt.edges())))
    }
}
