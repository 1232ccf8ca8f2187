//! Takes from files and renderings into them, in blocks.
//!
//! A [`Source`] reads WAV (RIFF, RF64, BW64), AIFF, AIFC and FLAC, told apart by what is in them, and MP3 for hearing only; a
//! [`Sink`] writes WAV, AIFF and FLAC into what it is handed. Beside the samples goes [`Metadata`]: what a session knows a take
//! by, among it its place in time. Neither knows of targets, of their names, or of what may be overwritten.
//!
//! `hound` reads and writes the headers that it knows; samples are converted here a block at a time, since its
//! sample-by-sample interface would cost more than all the rest of a rendering.

mod container;
mod encoding;
mod error;
mod format;
mod input;
mod metadata;
mod sink;
mod source;

pub use container::{Container, Unfit};
pub use encoding::Encoding;
pub use error::{Problem, SoundError};
pub use format::{Format, RATES_HZ};
pub use metadata::Metadata;
pub use sink::{Making, Sink, sound_blocks};
pub use source::{Kind, Reading, STANDARD_INPUT, Source};
