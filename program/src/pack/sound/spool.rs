use std::fs::File;
use std::io::{self, Read, Seek};
use std::path::Path;

use sha2::{Digest, Sha256};

use super::decoded::DecodedError;
use super::flac::{self, FlacEncoder};
use super::level::Levels;
use super::opus::{self, OpusEncoder};
use super::rate::{RateConverter, frames_at};
use super::{Recipe, Stage};
use crate::error::Failure;
use crate::target::folder_of;

/// Bytes that are read together.
const PIECE: usize = 64 * 1024;

/// How sounds are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Codec {
    /// Without loss, 24 bits.
    Flac,
    /// At so many bits a second.
    Opus(u32),
}

impl Codec {
    pub fn name(self) -> &'static str {
        match self {
            Self::Flac => "flac",
            Self::Opus(_) => "opus",
        }
    }

    /// As a browser names it (RFC 9639, RFC 7845).
    pub fn mime(self) -> &'static str {
        match self {
            Self::Flac => "audio/flac",
            Self::Opus(_) => "audio/ogg; codecs=opus",
        }
    }

    /// The rate that sounds of a take are stored at.
    pub fn rate_hz(self, take_hz: u32) -> u32 {
        match self {
            Self::Flac => flac::rate_hz(take_hz),
            Self::Opus(_) => opus::RATE_HZ,
        }
    }
}

/// A sound in a temporary file that nobody else sees and that goes with the program.
pub struct Encoded {
    file: File,
    pub bytes: u64,
    /// SHA-256 of the file.
    pub digest: [u8; 32],
    pub error: DecodedError,
    /// Samples that had to be clipped.
    pub clipped: u64,
}

impl Encoded {
    fn new(file: File, error: DecodedError, clipped: u64) -> io::Result<Self> {
        let mut encoded = Self { file, bytes: 0, digest: [0; 32], error, clipped };
        let mut digest = Sha256::new();
        encoded.bytes = encoded.each_piece(|piece| {
            digest.update(piece);
            Ok(())
        })?;
        encoded.digest = digest.finalize().into();
        Ok(encoded)
    }

    /// Hands on the file piece by piece, and tells its length.
    pub fn each_piece(&self, mut to: impl FnMut(&[u8]) -> io::Result<()>) -> io::Result<u64> {
        let mut file = &self.file;
        file.rewind()?;
        let (mut piece, mut bytes) = (vec![0; PIECE], 0);
        loop {
            let there = file.read(&mut piece)?;
            if there == 0 {
                return Ok(bytes);
            }
            to(&piece[..there])?;
            bytes += there as u64;
        }
    }
}

/// Encodes sounds beside the page to come.
pub struct Spool<'a> {
    pub target: &'a Path,
    pub codec: Codec,
}

impl Spool<'_> {
    /// Encodes all sounds, unless those so far are more bytes than `fit`.
    pub fn encode_all(
        &self,
        stage: &mut Stage,
        recipes: &[&Recipe],
        levels: &Levels,
        fit: impl Fn(u64) -> bool,
    ) -> Result<Option<Vec<Encoded>>, Failure> {
        let mut all: Vec<Encoded> = Vec::new();
        for (index, recipe) in recipes.iter().enumerate() {
            all.push(self.encode(stage, recipe, levels.gain(index))?);
            if !fit(all.iter().map(|sound| sound.bytes).sum()) {
                return Ok(None);
            }
        }
        Ok(Some(all))
    }

    /// Of all channels of a sound.
    pub fn samples_per_second(&self, stage: &Stage) -> u32 {
        self.codec.rate_hz(stage.rate_hz()) * u32::from(stage.channels())
    }

    /// Plays a sound, all samples times `gain`, and encodes it.
    fn encode(&self, stage: &mut Stage, recipe: &Recipe, gain: f64) -> Result<Encoded, Failure> {
        let failed = |error: io::Error| Failure::write(self.target, error);
        let format = self.format(stage);
        let file = tempfile::tempfile_in(folder_of(self.target)).map_err(failed)?;
        let copy = file.try_clone().map_err(failed)?;
        let (error, clipped) = match self.codec {
            Codec::Flac => {
                let encoder = FlacEncoder::new(copy, format).map_err(failed)?;
                self.run(encoder, stage, recipe, gain)?
            }
            Codec::Opus(bits_per_second) => {
                let encoder = OpusEncoder::new(copy, format, bits_per_second).map_err(failed)?;
                self.run(encoder, stage, recipe, gain)?
            }
        };
        Encoded::new(file, error, clipped).map_err(failed)
    }

    fn format(&self, stage: &Stage) -> Encoding {
        let rate_hz = self.codec.rate_hz(stage.rate_hz());
        let frames = frames_at(stage.excerpt.frames, stage.rate_hz(), rate_hz);
        Encoding { rate_hz, channels: stage.channels(), frames }
    }

    fn run(
        &self,
        mut encoder: impl Encoder,
        stage: &mut Stage,
        recipe: &Recipe,
        gain: f64,
    ) -> Result<(DecodedError, u64), Failure> {
        let failed = |error: io::Error| Failure::write(self.target, error);
        let Encoding { rate_hz, channels, .. } = self.format(stage);
        let frames = stage.excerpt.frames;
        let mut converter = RateConverter::new(stage.rate_hz(), rate_hz, channels.into(), frames);
        stage.play(recipe, |block| {
            // Finite, as all that comes out of the processor.
            let louder = |channel: &Vec<f64>| channel.iter().map(|value| value * gain).collect();
            let block: Vec<Vec<f64>> = block.iter().map(louder).collect();
            encoder.write(&converter.add(&block)).map_err(failed)
        })?;
        encoder.write(&converter.finish()).map_err(failed)?;
        encoder.finish().map_err(failed)
    }
}

/// What is to be encoded.
#[derive(Debug, Clone, Copy)]
pub struct Encoding {
    pub rate_hz: u32,
    /// One or two.
    pub channels: u16,
    /// In all.
    pub frames: u64,
}

/// Takes blocks of any length, at most as many frames as were told.
pub trait Encoder: Send {
    fn write(&mut self, block: &[Vec<f64>]) -> io::Result<()>;

    /// Completes the file; tells what a decoder makes of it, and how many samples had to be clipped.
    fn finish(self) -> io::Result<(DecodedError, u64)>;
}
