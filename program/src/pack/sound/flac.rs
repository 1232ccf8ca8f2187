use std::fs::File;
use std::io::{self, BufReader, BufWriter, Seek};

use firstjack_sound::sound_blocks;
use flac_codec::decode::{Verified, verify_reader};
use flac_codec::encode::{FlacSampleWriter, Options};

use super::decoded::{DecodedError, ErrorMeter};
use super::spool::{Encoder, Encoding};

/// Bits of a sample: what is rounded away lies 140 dB below full scale, without dither.
const BITS: u32 = 24;

/// Full scale.
const FULL: f64 = 8_388_608.0;

/// The highest rate that every browser plays (Web Audio, `BaseAudioContext`: at least 8 to 96 kHz).
const HIGHEST_HZ: u32 = 96_000;

/// A take's own rate, or a part of it that browsers play.
pub fn rate_hz(take_hz: u32) -> u32 {
    match take_hz {
        ..=HIGHEST_HZ => take_hz,
        _ if take_hz.is_multiple_of(44_100) => 88_200,
        _ => HIGHEST_HZ,
    }
}

/// FLAC (RFC 9639), 24 bits.
pub struct FlacEncoder {
    writer: FlacSampleWriter<BufWriter<File>>,
    file: File,
    meter: ErrorMeter,
    clipped: u64,
}

impl FlacEncoder {
    /// # Panics
    /// Never: one or two channels.
    pub fn new(file: File, format: Encoding) -> io::Result<Self> {
        let channels = u8::try_from(format.channels).expect("one or two");
        let samples = format.frames * u64::from(channels);
        let to = BufWriter::new(file.try_clone()?);
        let options = sound_blocks(Options::best().no_padding().no_seektable(), format.frames);
        let writer = FlacSampleWriter::new(to, options, format.rate_hz, BITS, channels, Some(samples));
        Ok(Self {
            writer: writer.map_err(io_error)?,
            file,
            meter: ErrorMeter::new(format.rate_hz, channels.into()),
            clipped: 0,
        })
    }
}

impl Encoder for FlacEncoder {
    #[expect(clippy::cast_possible_truncation, reason = "rounded and clamped before")]
    fn write(&mut self, block: &[Vec<f64>]) -> io::Result<()> {
        let frames = block.first().map_or(0, Vec::len);
        let mut stored: Vec<Vec<f64>> = vec![Vec::with_capacity(frames); block.len()];
        let mut samples = Vec::with_capacity(frames * block.len());
        for frame in 0..frames {
            for (channel, stored) in block.iter().zip(&mut stored) {
                let wanted = (channel[frame] * FULL).round_ties_even();
                let value = wanted.clamp(-FULL, FULL - 1.0);
                self.clipped += u64::from(value != wanted);
                stored.push(value / FULL);
                samples.push(value as i32);
            }
        }
        self.meter.add(block, &stored);
        self.writer.write(&samples).map_err(io_error)
    }

    /// What was stored is what is decoded: all is decoded and its checksum compared with that of the samples.
    fn finish(mut self: Box<Self>) -> io::Result<(DecodedError, u64)> {
        self.writer.finalize().map_err(io_error)?;
        self.file.rewind()?;
        match verify_reader(BufReader::new(&self.file)).map_err(io_error)? {
            Verified::MD5Match => Ok((self.meter.finish(), self.clipped)),
            _ => Err(io::Error::other("a sound does not read back as it was written")),
        }
    }
}

fn io_error(error: flac_codec::Error) -> io::Error {
    match error {
        flac_codec::Error::Io(error) => error,
        error => io::Error::other(error.to_string()),
    }
}
