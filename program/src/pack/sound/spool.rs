use std::fs::File;
use std::io::{self, Read, Seek};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

use sha2::{Digest, Sha256};

use super::decoded::DecodedError;
use super::flac::{self, FlacEncoder};
use super::opus::{self, OpusEncoder};
use super::rate::{RateConverter, frames_at};
use super::waveform::Waveform;
use super::{Recipe, Stage};
use crate::error::Failure;
use crate::output::scratch;
use crate::passes::{self, Levels, Playback, Work};

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

/// All sounds of a page.
pub struct Spooled {
    pub sounds: Vec<Encoded>,
    /// Of the first.
    pub waveform: Waveform,
}

/// Encodes sounds beside the page to come.
pub struct Spool<'a> {
    pub target: &'a Path,
    pub codec: Codec,
}

impl Spool<'_> {
    /// Encodes all sounds in one pass, unless those so far are more bytes than `fit`.
    pub fn encode_all(
        &self,
        stage: &mut Stage,
        recipes: &[&Recipe],
        levels: &Levels,
        fit: impl Fn(u64) -> bool + Sync,
    ) -> Result<Option<Spooled>, Failure> {
        let failed = |error: io::Error| Failure::write(self.target, error);
        let mut waveform = Waveform::new(stage.excerpt.frames);
        let mut to_draw = Some(&mut waveform);
        let bytes: Vec<AtomicU64> = recipes.iter().map(|_| AtomicU64::new(0)).collect();
        let too_many = || !fit(bytes.iter().map(|bytes| bytes.load(Ordering::Relaxed)).sum());
        let mut sounds: Vec<Sound> = Vec::new();
        for (index, recipe) in recipes.iter().enumerate() {
            sounds.push(self.sound(stage, recipe, levels.gain(index)).map_err(failed)??);
        }
        let part = |(sound, bytes)| -> Work {
            let (sound, bytes): (&mut Sound, &AtomicU64) = (sound, bytes);
            let (mut waveform, too_many) = (to_draw.take(), &too_many);
            Box::new(move |block| {
                if too_many() {
                    return Ok(());
                }
                let played = sound.version.play(block);
                waveform.iter_mut().for_each(|waveform| waveform.add(played));
                bytes.store(sound.add().map_err(failed)?, Ordering::Relaxed);
                Ok(())
            })
        };
        let parts = sounds.iter_mut().zip(&bytes).map(part).collect();
        passes::run(&mut stage.take, stage.progress, parts)?;
        if too_many() {
            return Ok(None);
        }
        let sounds = sounds.into_iter().map(Sound::finish).collect::<io::Result<Vec<_>>>().map_err(failed)?;
        let fits = fit(sounds.iter().map(|sound| sound.bytes).sum());
        Ok(fits.then_some(Spooled { sounds, waveform }))
    }

    /// Of all channels of a sound.
    pub fn samples_per_second(&self, stage: &Stage) -> u32 {
        self.codec.rate_hz(stage.rate_hz()) * u32::from(stage.channels())
    }

    /// A sound, all samples times `gain`, of which nothing has been played yet.
    fn sound(&self, stage: &Stage, recipe: &Recipe, gain: f64) -> io::Result<Result<Sound, Failure>> {
        let rate_hz = self.codec.rate_hz(stage.rate_hz());
        let frames = frames_at(stage.excerpt.frames, stage.rate_hz(), rate_hz);
        let format = Encoding { rate_hz, channels: stage.channels(), frames };
        let file = tempfile::tempfile_in(scratch(self.target))?;
        let encoder: Box<dyn Encoder> = match self.codec {
            Codec::Flac => Box::new(FlacEncoder::new(file.try_clone()?, format)?),
            Codec::Opus(bits) => Box::new(OpusEncoder::new(file.try_clone()?, format, bits)?),
        };
        let channels = stage.channels().into();
        let converter = RateConverter::new(stage.rate_hz(), rate_hz, channels, stage.excerpt.frames);
        Ok(stage.version(recipe).map(|version| Sound { version, gain, converter, encoder, file }))
    }
}

/// A sound on its way into its file.
struct Sound {
    version: Playback,
    gain: f64,
    converter: RateConverter,
    encoder: Box<dyn Encoder>,
    file: File,
}

impl Sound {
    /// Takes a block that was played; tells how many bytes there are.
    fn add(&mut self) -> io::Result<u64> {
        // Finite, as all that comes out of the processor.
        let louder = |channel: &Vec<f64>| channel.iter().map(|value| value * self.gain).collect();
        let block: Vec<Vec<f64>> = self.version.played().iter().map(louder).collect();
        self.encoder.write(&self.converter.add(&block))?;
        Ok(self.file.metadata()?.len())
    }

    fn finish(mut self) -> io::Result<Encoded> {
        self.encoder.write(&self.converter.finish())?;
        let (error, clipped) = self.encoder.finish()?;
        Encoded::new(self.file, error, clipped)
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
    fn finish(self: Box<Self>) -> io::Result<(DecodedError, u64)>;
}
