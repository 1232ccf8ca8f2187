//! FLAC (RFC 9639). Its metadata blocks are taken apart here and kept as they are; the decoder gets the one that it needs, so that
//! a tag that breaks a rule costs no take.

use std::io::{Cursor, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};

use flac_codec::decode::{FlacChannelReader, Metadata as _};

use super::stream::{Stream, count, skip};
use super::{Body, Opened};
use crate::input::Input;
use crate::metadata::{Block, Gathered};
use crate::{Encoding, Format, Problem};

/// `fLaC`, a block's header and STREAMINFO.
const START_BYTES: usize = 42;

/// More than anybody has.
const MOST_BLOCKS: usize = 10_000;

pub fn open(input: Input, start: u64, salvage: bool) -> Result<Opened, Problem> {
    let (head, metadata) = blocks(input, start)?;
    let mut decoder = Decoder::new(head)?;
    let format = decoder.format()?;
    let promised = decoder.promised;
    let (frames, problem) = match promised {
        // All is decoded later, and what is missing is told then.
        Some(promised) if !salvage => (promised, None),
        promised => count(&mut decoder, promised),
    };
    Ok(Opened { body: Body::Stream(Box::new(decoder)), format, metadata: metadata.finish(), frames, problem })
}

/// What the decoder begins with: the stream's own block as the last one, and the frames.
#[derive(Clone)]
struct Head {
    start: Cursor<[u8; START_BYTES]>,
    frames: Input,
}

impl Read for Head {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        match self.start.read(bytes)? {
            0 => self.frames.read(bytes),
            count => Ok(count),
        }
    }
}

fn blocks(mut input: Input, start: u64) -> Result<(Head, Gathered), Problem> {
    let mut head: [u8; START_BYTES] = input.header_at(start)?;
    let mut metadata = Gathered::default();
    let (mut place, mut is_last) = (start + START_BYTES as u64, head[4] & 0x80 != 0);
    if head[4] & 0x7f != 0 || head[5..8] != [0, 0, 34] {
        return Err(invalid("it does not begin with STREAMINFO"));
    }
    for _ in 0..MOST_BLOCKS {
        if is_last {
            head[4] = 0x80;
            input.go_to(place);
            return Ok((Head { start: Cursor::new(head), frames: input }, metadata));
        }
        let [kind, a, b, c] = input.header_at(place)?;
        let bytes = u64::from(u32::from_be_bytes([0, a, b, c]));
        is_last = kind & 0x80 != 0;
        if Block::is_kept(kind & 0x7f) {
            metadata.block(kind & 0x7f, bytes, || input.some_at(place + 4, bytes))?;
        }
        place += 4 + bytes;
    }
    Err(Problem::Chunks(MOST_BLOCKS))
}

fn invalid(reason: impl ToString) -> Problem {
    Problem::Stream { kind: "FLAC", reason: reason.to_string() }
}

struct Decoder {
    reader: FlacChannelReader<Head>,
    channels: usize,
    scale: f64,
    promised: Option<u64>,
    /// The next one.
    frame: u64,
    /// The decoder as it was at a frame: going back there costs nothing.
    kept: (u64, FlacChannelReader<Head>),
    /// As it was at the first frame.
    start: FlacChannelReader<Head>,
}

impl Decoder {
    fn new(head: Head) -> Result<Self, Problem> {
        let reader = FlacChannelReader::new(head).map_err(invalid)?;
        Ok(Self {
            channels: reader.channel_count().into(),
            scale: f64::from(reader.bits_per_sample() - 1).exp2().recip(),
            promised: reader.total_samples(),
            frame: 0,
            kept: (0, reader.clone()),
            start: reader.clone(),
            reader,
        })
    }

    /// Fewer bits than the next encoding has are at its top.
    fn format(&self) -> Result<Format, Problem> {
        let bits = self.reader.bits_per_sample();
        let bytes = u16::try_from(bits.div_ceil(8)).unwrap_or(0);
        let encoding = Encoding::integer(bytes).ok_or(Problem::Bits(bits))?;
        Format::new(self.channels.try_into().unwrap_or(0), self.reader.sample_rate(), encoding)
    }

    fn broken(&self, error: flac_codec::Error) -> Problem {
        match (error, self.promised) {
            (flac_codec::Error::Io(error), _) if error.kind() != std::io::ErrorKind::UnexpectedEof => {
                Problem::Read(error)
            }
            (_, Some(promised)) => Problem::Short { promised, there: self.frame },
            (error, None) => Problem::BreaksOff { frame: self.frame, reason: error.to_string() },
        }
    }
}

impl Stream for Decoder {
    fn fill(&mut self) -> Result<usize, Problem> {
        let left = self.promised.map_or(u64::MAX, |promised| promised.saturating_sub(self.frame));
        // A last frame that is longer than promised must not be asked what comes after it.
        if left == 0 {
            return Ok(0);
        }
        // The decoder takes some impossible frames for granted, and panics.
        let fill = || self.reader.fill_buf().map(|planes| (planes.len(), planes[0].len()));
        let filled = catch_unwind(AssertUnwindSafe(fill));
        let frames = match filled {
            Ok(Ok((channels, frames))) if channels == self.channels => frames,
            Ok(Ok(_)) => return Err(invalid("its channels change")),
            Ok(Err(error)) => return Err(self.broken(error)),
            Err(_) => return Err(self.broken(flac_codec::Error::InvalidPartitionOrder)),
        };
        match (frames, self.promised) {
            (0, Some(promised)) => Err(Problem::Short { promised, there: self.frame }),
            _ => Ok(frames.min(usize::try_from(left).unwrap_or(usize::MAX))),
        }
    }

    fn take(&mut self, frames: usize, channels: &mut [Vec<f64>]) {
        // What was decoded by `fill` is told again.
        if let Ok(planes) = self.reader.fill_buf() {
            for (plane, channel) in planes.iter().zip(channels) {
                channel.extend(plane[..frames].iter().map(|value| f64::from(*value) * self.scale));
            }
        }
        self.reader.consume(frames);
        self.frame += frames as u64;
    }

    fn go_to(&mut self, frame: u64) -> Result<(), Problem> {
        (self.frame, self.reader) =
            if self.kept.0 <= frame { self.kept.clone() } else { (0, self.start.clone()) };
        let ahead = frame - self.frame;
        let (_, problem) = skip(self, ahead);
        if let Some(problem) = problem {
            return Err(problem);
        }
        self.kept = (self.frame, self.reader.clone());
        Ok(())
    }
}
