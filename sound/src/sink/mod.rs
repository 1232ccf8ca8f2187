//! Renderings into files. A sink is handed what it writes into; it knows no names.

mod aiff;
mod flac;
mod form;
mod quantiser;
mod wav;

use std::io::{self, Seek, Write};

pub(crate) use aiff::bytes as aiff_bytes;
pub use flac::sound_blocks;
pub(crate) use wav::bytes as wav_bytes;

use crate::encoding::Packing;
use crate::{Container, Encoding, Format, Metadata};
use aiff::Aiff;
use flac::Flac;
use form::{Form, Packed};
use quantiser::Quantiser;
use wav::Wav;

/// What is to be written.
#[derive(Debug, Clone, Copy)]
pub struct Making<'a> {
    /// The kind of file.
    pub container: Container,
    /// Of the samples in it.
    pub format: Format,
    /// How many will be written.
    pub frames: u64,
    /// What goes with them; what does not fit is left out ([`Metadata::left_behind`]).
    pub metadata: &'a Metadata,
    /// Whether the samples are those of a file of this encoding, and so need no dither.
    pub exact: bool,
}

/// A rendering that is being written.
pub struct Sink<W: Write + Seek> {
    body: Body<W>,
    quantiser: Quantiser,
}

enum Body<W: Write + Seek> {
    Packed(Packed<W>),
    Flac(Box<Flac<W>>),
}

impl<W: Write + Seek> Sink<W> {
    /// Starts a file at the beginning of `to`. Integers of 16 bits and less are dithered (TPDF, two least significant bits
    /// wide), always alike: the same take gives the same file.
    ///
    /// # Errors
    /// If it cannot be written; or if it does not fit ([`Container::check`]).
    pub fn new(to: W, making: Making) -> io::Result<Self> {
        let Making { container, format, frames, metadata, exact } = making;
        let fits = container.check(format, frames, metadata);
        fits.map_err(|unfit| io::Error::new(io::ErrorKind::InvalidInput, unfit))?;
        let body = match container {
            Container::Wav => {
                let form = Form::Wav(Wav::new(format, frames, metadata));
                Body::Packed(Packed::new(to, Packing::wav(format.encoding), form, making)?)
            }
            Container::Aiff => {
                let form = Form::Aiff(Aiff::new(format, metadata));
                Body::Packed(Packed::new(to, Packing::aiff(format.encoding), form, making)?)
            }
            Container::Flac => Body::Flac(Box::new(Flac::new(to, making)?)),
        };
        let dithered = !exact && matches!(format.encoding, Encoding::Int8 | Encoding::Int16);
        Ok(Self { body, quantiser: Quantiser::new(format.encoding, dithered) })
    }

    /// Appends one block, each sample times `gain`.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn write(&mut self, channels: &[Vec<f64>], gain: f64) -> io::Result<()> {
        match &mut self.body {
            Body::Packed(packed) => packed.write(channels, gain, &mut self.quantiser),
            Body::Flac(flac) => flac.write(channels, gain, &mut self.quantiser),
        }
    }

    /// How many samples were clipped.
    pub fn clipped(&self) -> u64 {
        self.quantiser.clipped()
    }

    /// Completes the file, and gives back what it was written into.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn finish(self) -> io::Result<W> {
        match self.body {
            Body::Packed(packed) => packed.finish(),
            Body::Flac(flac) => flac.finish(),
        }
    }
}
