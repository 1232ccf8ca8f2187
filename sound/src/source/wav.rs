//! Where the parts of a WAV file lie. `hound` would look for them too, but does not know that a byte of padding follows a
//! chunk of odd length (Multimedia Programming Interface and Data Specifications 1.0, "RIFF"), nor files of more than 4 GiB
//! (EBU Tech 3306, ITU-R BS.2088), nor what a recorder leaves behind whose power failed.

use std::io::Cursor;

use hound::{SampleFormat, WavReader};

use super::packed::Packed;
use super::{Body, Opened, length_problem};
use crate::encoding::Packing;
use crate::input::Input;
use crate::metadata::{Family, Gathered, WavHeader, is_id};
use crate::{Encoding, Format, Problem};

/// What of the format chunk is read: all that an extensible header has.
const FORMAT_BYTES: u64 = 40;

/// More than anybody has.
const MOST_CHUNKS: usize = 10_000;

// Format tags: linear PCM, IEEE float, and WAVEFORMATEXTENSIBLE, which says in a longer header which of the two it is.
const PCM: u16 = 1;
const FLOAT: u16 = 3;
pub const EXTENSIBLE: u16 = 0xfffe;

/// The rest of an extensible header's subformat, behind the tag.
pub const SUBFORMAT: [u8; 14] =
    [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71];

pub fn open(mut input: Input) -> Result<Opened, Problem> {
    let mut walk = Walk::new(&mut input)?;
    let (header, start, bytes) = walk.find_data()?;
    let format = format(&header)?;
    walk.gathered.wav = Some(WavHeader::of(&header));
    let there = walk.input.length().saturating_sub(start);
    if let Some(bytes) = bytes.filter(|bytes| *bytes <= there) {
        walk.behind_data(start + bytes + bytes % 2);
    }
    let metadata = walk.gathered.finish();
    let problem = length_problem(bytes, there, format.bytes_per_frame() as u64);
    let frames = bytes.unwrap_or(there).min(there) / format.bytes_per_frame() as u64;
    let packed = Packed::new(input, Packing::wav(format.encoding), format, start);
    Ok(Opened { body: Body::Packed(packed), format, metadata, frames, problem })
}

/// On the way through the chunks.
struct Walk<'a> {
    input: &'a mut Input,
    /// Where the next chunk begins.
    place: u64,
    riff_end: u64,
    /// Of a file of more than 4 GiB: the lengths that do not fit where they belong, first of all that of the data.
    long: Option<Vec<([u8; 4], u64)>>,
    gathered: Gathered,
}

impl<'a> Walk<'a> {
    fn new(input: &'a mut Input) -> Result<Self, Problem> {
        let riff: [u8; 12] = input.header_at(0)?;
        let riff_end = 8 + u64::from(u32_at(&riff, 4));
        let long = (&riff[..4] != b"RIFF").then(Vec::new);
        Ok(Self { input, place: 12, riff_end, long, gathered: Gathered::new(Family::Riff) })
    }

    /// The next chunk: its name, where its contents begin, and how many bytes they have, if that can be told.
    fn next(&mut self) -> Result<([u8; 4], u64, Option<u64>), Problem> {
        let header: [u8; 8] = self.input.header_at(self.place)?;
        let (id, start) = ([header[0], header[1], header[2], header[3]], self.place + 8);
        let bytes = match (u32_at(&header, 4), &mut self.long) {
            (u32::MAX, Some(long)) => {
                let found = long.iter().position(|(of, _)| *of == id);
                // No file is longer; places behind it are counted without overflow.
                found.map(|index| long.swap_remove(index).1.min(1 << 62))
            }
            (u32::MAX, None) if &id == b"data" => None,
            (bytes, _) => Some(u64::from(bytes)),
        };
        Ok((id, start, bytes))
    }

    /// Walks as far as the data: the format chunk, at least 16 and at most 40 bytes of it, and where the data begin and how long
    /// they are, unless that was never filled in.
    fn find_data(&mut self) -> Result<(Vec<u8>, u64, Option<u64>), Problem> {
        let mut format = None;
        for _ in 0..MOST_CHUNKS {
            let (id, start, bytes) = self.next()?;
            if &id == b"data" {
                let format = format.ok_or(Problem::NoFormat)?;
                // Recorders write the lengths last.
                let unfinished = bytes == Some(0) && self.riff_end <= start && start < self.input.length();
                return Ok((format, start, bytes.filter(|_| !unfinished)));
            }
            let Some(bytes) = bytes else { return Err(Problem::CutHeader) };
            match &id {
                b"fmt " => format = Some(self.read_format(start, bytes)?),
                b"ds64" => self.read_long(start, bytes)?,
                _ if is_id(id) => self.keep(id, start, bytes, true)?,
                _ => return Err(Problem::Gap(self.place)),
            }
            self.place = start.saturating_add(bytes + bytes % 2);
        }
        Err(Problem::Chunks(MOST_CHUNKS))
    }

    /// Gathers what stands behind the data; what is no chunk there ends it, and is left out.
    fn behind_data(&mut self, place: u64) {
        self.place = place;
        for _ in 0..MOST_CHUNKS {
            let Ok((id, start, Some(bytes))) = self.next() else { return };
            if !is_id(id) || start.saturating_add(bytes) > self.input.length() {
                return;
            }
            if self.keep(id, start, bytes, false).is_err() {
                return;
            }
            self.place = start + bytes + bytes % 2;
        }
    }

    fn keep(&mut self, id: [u8; 4], start: u64, bytes: u64, before: bool) -> Result<(), Problem> {
        let input = &mut *self.input;
        self.gathered.chunk(id, bytes, before, || input.some_at(start, bytes))
    }

    fn read_format(&mut self, start: u64, bytes: u64) -> Result<Vec<u8>, Problem> {
        if bytes < 16 {
            return Err(Problem::ShortFormat { bytes, least: 16 });
        }
        let wanted = bytes.min(FORMAT_BYTES);
        let format = self.input.some_at(start, wanted)?;
        if (format.len() as u64) < wanted { Err(Problem::CutHeader) } else { Ok(format) }
    }

    /// Lengths in 64 bits: of the file, of the data, the number of frames, and a table of other chunks' (EBU Tech 3306, 3).
    fn read_long(&mut self, start: u64, bytes: u64) -> Result<(), Problem> {
        let Some(long) = &mut self.long else { return Ok(()) };
        let fixed: [u8; 28] = self.input.header_at(start)?;
        self.riff_end = u64_at(&fixed, 0).saturating_add(8);
        long.push((*b"data", u64_at(&fixed, 8)));
        let entries =
            u64::from(u32_at(&fixed, 24)).min(bytes.saturating_sub(28) / 12).min(MOST_CHUNKS as u64);
        let table = self.input.some_at(start + 28, entries * 12)?;
        long.extend(
            table.chunks_exact(12).map(|entry| ([entry[0], entry[1], entry[2], entry[3]], u64_at(entry, 4))),
        );
        Ok(())
    }
}

fn u32_at(bytes: &[u8], start: usize) -> u32 {
    bytes[start..].first_chunk().map_or(0, |field| u32::from_le_bytes(*field))
}

fn u64_at(bytes: &[u8], start: usize) -> u64 {
    bytes[start..].first_chunk().map_or(0, |field| u64::from_le_bytes(*field))
}

/// Reads a format chunk of at least 16 bytes. What `hound` makes of it is taken, which knows up to 32 bits; what is checked here
/// before it is named better.
fn format(chunk: &[u8]) -> Result<Format, Problem> {
    let field = |start: usize| chunk[start..].first_chunk().map_or(0, |b| u16::from_le_bytes(*b));
    let (tag, channels, block) = (field(0), field(2), field(12));
    if ![PCM, FLOAT, EXTENSIBLE].contains(&tag) {
        return Err(Problem::Codec(format!("format tag {tag:#06x}")));
    }
    let rate_hz = u32_at(chunk, 4);
    // The encoding is not known yet; of the two numbers this is all.
    Format::new(channels, rate_hz, Encoding::Int8)?;
    if block % channels != 0 {
        return Err(Problem::Block { channels, block });
    }
    // The header says how many bits are valid; what is read is the container, which a sample fills from the top.
    let bytes = block / channels;
    let is_float = if bytes == 8 { is_long_float(chunk, tag)? } else { is_float(chunk, tag)? };
    let encoding = match (is_float, bytes) {
        (true, 4) => Some(Encoding::Float32),
        (true, 8) => Some(Encoding::Float64),
        (true, _) => None,
        (false, bytes) => Encoding::integer(bytes),
    };
    let encoding = encoding.ok_or(Problem::Bits(u32::from(bytes) * 8))?;
    Format::new(channels, rate_hz, encoding)
}

/// Of samples of 64 bits, which `hound` does not know.
fn is_long_float(chunk: &[u8], tag: u16) -> Result<bool, Problem> {
    let code = match (tag, chunk.get(24..40)) {
        (EXTENSIBLE, Some([low, high, rest @ ..])) if *rest == SUBFORMAT => u16::from_le_bytes([*low, *high]),
        (EXTENSIBLE, _) => 0,
        (tag, _) => tag,
    };
    match code {
        PCM => Ok(false),
        FLOAT => Ok(true),
        _ => Err(Problem::Codec("in the extensible header".to_owned())),
    }
}

/// What `hound` reads from a format chunk, given a file of nothing else. Writers differ in what they append to the chunk, so it gets
/// as many bytes as the tag needs.
fn is_float(chunk: &[u8], tag: u16) -> Result<bool, Problem> {
    let mut chunk = chunk.to_vec();
    if tag == EXTENSIBLE {
        chunk.get_mut(16..18).into_iter().for_each(|size| size.copy_from_slice(&22_u16.to_le_bytes()));
    } else {
        chunk.truncate(16);
    }
    let length = u32::try_from(chunk.len()).unwrap_or(0).to_le_bytes();
    let file = [b"RIFF\0\0\0\0WAVEfmt ".as_slice(), &length, &chunk, b"data\0\0\0\0".as_slice()].concat();
    let spec = WavReader::new(Cursor::new(file)).map(|wav| wav.spec()).map_err(|error| match error {
        hound::Error::Unsupported => Problem::Codec("in the extensible header".to_owned()),
        hound::Error::FormatError(reason) => Problem::Format(reason.to_owned()),
        error => Problem::Format(error.to_string()),
    })?;
    Ok(spec.sample_format == SampleFormat::Float)
}
