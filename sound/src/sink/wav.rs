use std::io::Cursor;

use hound::{SampleFormat, WavSpec, WavWriter};

use super::form::chunks;
use crate::metadata::{Chunk, Family, WavHeader};
use crate::source::{EXTENSIBLE, SUBFORMAT};
use crate::{Format, Metadata};

/// The length of a chunk with lengths of 64 bits (EBU Tech 3306), or of the filling that keeps its place.
const LONG_BYTES: u32 = 28;

/// RIFF; RF64 if it is longer than RIFF can be.
pub struct Wav {
    frame_bytes: u64,
    /// From the format chunk to the samples' own.
    before: Vec<u8>,
    behind: Vec<u8>,
    /// Of float: a file must say the number of frames.
    has_fact: bool,
    /// Whether it may become too long for RIFF.
    may_be_long: bool,
}

/// The length of a file.
pub fn bytes(format: Format, frames: u64, metadata: &Metadata) -> u64 {
    let wav = Wav::new(format, frames, metadata);
    wav.total(frames.saturating_mul(wav.frame_bytes))
}

impl Wav {
    pub fn new(format: Format, frames: u64, metadata: &Metadata) -> Self {
        let header = format_chunk(format, metadata.wav_header());
        let header = Chunk { id: *b"fmt ", bytes: header, before: true };
        let before = std::iter::once(&header).chain(metadata.chunks_of(Family::Riff, true));
        let mut wav = Self {
            frame_bytes: format.bytes_per_frame() as u64,
            before: chunks(before, u32::to_le_bytes),
            behind: chunks(metadata.chunks_of(Family::Riff, false), u32::to_le_bytes),
            has_fact: format.encoding.is_float(),
            may_be_long: false,
        };
        wav.may_be_long = wav.total(frames.saturating_mul(wav.frame_bytes)) > u32::MAX.into();
        wav
    }

    fn head_bytes(&self) -> u64 {
        let long = if self.may_be_long { 8 + u64::from(LONG_BYTES) } else { 0 };
        let fact = if self.has_fact { 12 } else { 0 };
        12 + long + fact + self.before.len() as u64 + 8
    }

    fn total(&self, data_bytes: u64) -> u64 {
        self.head_bytes().saturating_add(data_bytes).saturating_add(data_bytes % 2 + self.behind.len() as u64)
    }

    pub fn most_bytes(&self) -> u64 {
        if self.may_be_long { u64::MAX } else { u32::MAX.into() }
    }

    pub fn head(&self, data_bytes: u64) -> Vec<u8> {
        let riff_bytes = self.total(data_bytes) - 8;
        let frames = data_bytes / self.frame_bytes;
        let is_long = self.may_be_long && riff_bytes + 8 > u32::MAX.into();
        // Where it does not fit, all bits are set, and it stands in 64 bits.
        let short = |bytes: u64| if is_long { u32::MAX } else { u32::try_from(bytes).unwrap_or(u32::MAX) };
        let length = |bytes: u64| short(bytes).to_le_bytes();
        let form: &[u8] = if is_long { b"RF64" } else { b"RIFF" };
        let mut head = [form, &length(riff_bytes), b"WAVE"].concat();
        if self.may_be_long {
            let id: &[u8] = if is_long { b"ds64" } else { b"JUNK" };
            head.extend([id, &LONG_BYTES.to_le_bytes()].concat());
            head.extend([riff_bytes, data_bytes, frames].map(u64::to_le_bytes).concat());
            // No other chunk is that long.
            head.extend([0; 4]);
        }
        head.extend(&self.before);
        if self.has_fact {
            head.extend([b"fact".as_slice(), &4_u32.to_le_bytes(), &length(frames)].concat());
        }
        head.extend([b"data".as_slice(), &length(data_bytes)].concat());
        head
    }

    pub fn tail(&self, data_bytes: u64) -> Vec<u8> {
        // RIFF chunks are padded to an even length.
        [&[0][..usize::from(data_bytes % 2 == 1)], &self.behind].concat()
    }
}

/// Plain or extensible as the take's; without one, as `hound` writes it, which knows samples of up to 32 bits.
fn format_chunk(format: Format, header: Option<WavHeader>) -> Vec<u8> {
    match header {
        None => of_hound(format).unwrap_or_else(|| extensible(format, 0)),
        Some(WavHeader::Plain) => plain(format),
        Some(WavHeader::Extensible { channel_mask }) => {
            // More loudspeakers than channels would be a rule broken: the pickups of a take became one.
            let fits = channel_mask.count_ones() <= u32::from(format.channels);
            extensible(format, if fits { channel_mask } else { 0 })
        }
    }
}

fn of_hound(format: Format) -> Option<Vec<u8>> {
    let encoding = format.encoding;
    if encoding.bits() > 32 {
        return None;
    }
    let spec = WavSpec {
        channels: format.channels,
        sample_rate: format.rate_hz,
        bits_per_sample: encoding.bits(),
        sample_format: if encoding.is_float() { SampleFormat::Float } else { SampleFormat::Int },
    };
    let mut file = Cursor::new(Vec::new());
    WavWriter::new(&mut file, spec).and_then(WavWriter::finalize).ok()?;
    // Behind the form's header and the chunk's own stands the chunk, and then the header of the data.
    let file = file.into_inner();
    file.get(20..file.len().checked_sub(8)?).map(<[u8]>::to_vec)
}

fn plain(format: Format) -> Vec<u8> {
    let tag = code(format);
    let mut chunk = fields(format, tag);
    // What is not linear PCM says how many bytes follow.
    if format.encoding.is_float() {
        chunk.extend([0; 2]);
    }
    chunk
}

fn extensible(format: Format, channel_mask: u32) -> Vec<u8> {
    let mut chunk = fields(format, EXTENSIBLE);
    chunk.extend(22_u16.to_le_bytes());
    chunk.extend(format.encoding.bits().to_le_bytes());
    chunk.extend(channel_mask.to_le_bytes());
    chunk.extend(code(format).to_le_bytes());
    chunk.extend(SUBFORMAT);
    chunk
}

/// Linear PCM or IEEE float.
fn code(format: Format) -> u16 {
    if format.encoding.is_float() { 3 } else { 1 }
}

fn fields(format: Format, tag: u16) -> Vec<u8> {
    // At most 64 channels of 8 bytes at 384 kHz.
    let block = format.channels * format.encoding.bits() / 8;
    let mut chunk = Vec::new();
    chunk.extend(tag.to_le_bytes());
    chunk.extend(format.channels.to_le_bytes());
    chunk.extend(format.rate_hz.to_le_bytes());
    chunk.extend((format.rate_hz * u32::from(block)).to_le_bytes());
    chunk.extend(block.to_le_bytes());
    chunk.extend(format.encoding.bits().to_le_bytes());
    chunk
}

/// The chunks of the file that samples would stand in as they are, the data's with nothing in it: what goes into FLAC.
pub fn foreign(format: Format, frames: u64, metadata: &Metadata) -> Vec<Vec<u8>> {
    let wav = Wav::new(format, frames, metadata);
    let data_bytes = frames * wav.frame_bytes;
    let header = Chunk { id: *b"fmt ", bytes: format_chunk(format, metadata.wav_header()), before: true };
    let one = |chunk: &Chunk| chunks(std::iter::once(chunk), u32::to_le_bytes);
    let length = |bytes: u64| u32::try_from(bytes).unwrap_or(u32::MAX).to_le_bytes();
    let riff = [b"RIFF".as_slice(), &length(wav.total(data_bytes) - 8), b"WAVE"].concat();
    let data = [b"data".as_slice(), &length(data_bytes)].concat();
    let before = std::iter::once(&header).chain(metadata.chunks_of(Family::Riff, true)).map(one);
    let behind = metadata.chunks_of(Family::Riff, false).map(one);
    std::iter::once(riff).chain(before).chain([data]).chain(behind).collect()
}
