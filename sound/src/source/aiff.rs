//! AIFF and AIFC (Audio Interchange File Format 1.3, and its extension for compression, draft of 1991; both from memory). A form like
//! RIFF, but with its highest byte first, and in which the data may stand before their description.

use super::packed::Packed;
use super::{Body, Opened, length_problem};
use crate::encoding::Packing;
use crate::input::Input;
use crate::metadata::{Family, Gathered, is_id};
use crate::{Encoding, Format, Problem};

/// More than anybody has.
const MOST_CHUNKS: usize = 10_000;

/// Of the common chunk with a compression type; without one it has 18.
const COMMON_BYTES: u64 = 22;

pub fn open(mut input: Input) -> Result<Opened, Problem> {
    let parts = Parts::find(&mut input)?;
    let common = parts.common.ok_or(Problem::NoChunk("COMM"))?;
    let (packing, format) = common.format()?;
    let frame_bytes = format.bytes_per_frame() as u64;
    let (start, bytes) = match parts.data {
        Some(data) => data,
        // A file without sound needs no such chunk.
        None if common.frames == 0 => (input.length(), Some(0)),
        None => return Err(Problem::NoChunk("SSND")),
    };
    let there = input.length().saturating_sub(start);
    let promised = bytes.map(|bytes| bytes.min(u64::from(common.frames) * frame_bytes));
    // A form that ends before its data do was left by a recorder.
    let promised = promised.filter(|bytes| *bytes > 0 || there == 0 || parts.form_end > start);
    let short = bytes.is_some_and(|bytes| bytes < u64::from(common.frames) * frame_bytes);
    let problem = match length_problem(promised, there, frame_bytes) {
        None if short && promised.is_some() => Some(Problem::Truncated {
            promised: common.frames.into(),
            there: bytes.unwrap_or(0) / frame_bytes,
        }),
        problem => problem,
    };
    let frames = promised.unwrap_or(there).min(there) / frame_bytes;
    let metadata = parts.gathered.finish();
    let packed = Packed::new(input, packing, format, start);
    Ok(Opened { body: Body::Packed(packed), format, metadata, frames, problem })
}

struct Parts {
    common: Option<Common>,
    /// Where the samples begin, and how many bytes they have, if that was filled in.
    data: Option<(u64, Option<u64>)>,
    form_end: u64,
    gathered: Gathered,
}

impl Parts {
    /// Walks all chunks. What is no chunk behind the data ends it.
    fn find(input: &mut Input) -> Result<Self, Problem> {
        let form: [u8; 12] = input.header_at(0)?;
        let has_type = &form[8..] == b"AIFC";
        let form_end = 8 + u64::from(u32_at(&form, 4));
        let mut parts = Self { common: None, data: None, form_end, gathered: Gathered::new(Family::Aiff) };
        let mut place = 12;
        for _ in 0..MOST_CHUNKS {
            let is_whole = parts.common.is_some() && parts.data.is_some();
            let header: [u8; 8] = match input.header_at(place) {
                Err(Problem::CutHeader) if is_whole || place == input.length() => return Ok(parts),
                header => header?,
            };
            let bytes = u64::from(u32_at(&header, 4));
            match parts.add([header[0], header[1], header[2], header[3]], place + 8, bytes, has_type, input) {
                Err(_) if is_whole => return Ok(parts),
                added => added?,
            }
            if parts.data.is_some_and(|(_, bytes)| bytes.is_none()) {
                return Ok(parts);
            }
            place += 8 + bytes + bytes % 2;
        }
        if parts.common.is_some() && parts.data.is_some() {
            Ok(parts)
        } else {
            Err(Problem::Chunks(MOST_CHUNKS))
        }
    }

    fn add(
        &mut self,
        id: [u8; 4],
        start: u64,
        bytes: u64,
        has_type: bool,
        input: &mut Input,
    ) -> Result<(), Problem> {
        match &id {
            b"COMM" => self.common = Some(Common::read(input, start, bytes, has_type)?),
            b"SSND" => {
                let offset: [u8; 4] = input.header_at(start)?;
                let skipped = 8 + u64::from(u32::from_be_bytes(offset));
                let unfinished = bytes < 8 || bytes == u64::from(u32::MAX);
                self.data = Some((start + skipped, (!unfinished).then(|| bytes.saturating_sub(skipped))));
            }
            id if is_id(*id) => {
                if start + bytes > input.length() {
                    return if self.data.is_some() { Ok(()) } else { Err(Problem::CutHeader) };
                }
                let before = self.data.is_none();
                self.gathered.chunk(*id, bytes, before, || input.some_at(start, bytes))?;
            }
            _ => return Err(Problem::Gap(start - 8)),
        }
        Ok(())
    }
}

/// The chunk that describes the data.
struct Common {
    channels: u16,
    frames: u32,
    bits: u16,
    rate_hz: f64,
    compression: [u8; 4],
}

impl Common {
    fn read(input: &mut Input, start: u64, bytes: u64, has_type: bool) -> Result<Self, Problem> {
        let least = if has_type { COMMON_BYTES } else { COMMON_BYTES - 4 };
        if bytes < least {
            return Err(Problem::ShortFormat { bytes, least });
        }
        let chunk = input.some_at(start, least)?;
        if (chunk.len() as u64) < least {
            return Err(Problem::CutHeader);
        }
        let field = |start: usize| chunk[start..].first_chunk().map_or(0, |b| u16::from_be_bytes(*b));
        Ok(Self {
            channels: field(0),
            frames: u32_at(&chunk, 2),
            bits: field(6),
            rate_hz: extended(chunk[8..].first_chunk().unwrap_or(&[0; 10])),
            compression: chunk.get(18..).and_then(<[u8]>::first_chunk).copied().unwrap_or(*b"NONE"),
        })
    }

    /// Fewer bits than whole bytes have are at their top.
    fn format(&self) -> Result<(Packing, Format), Problem> {
        let integer = |bits: u16| {
            Encoding::integer(bits.div_ceil(8)).filter(|e| !e.is_float()).ok_or(Problem::Bits(bits.into()))
        };
        let (encoding, big_endian, signed_bytes) = match &self.compression {
            b"NONE" | b"twos" => (integer(self.bits)?, true, true),
            b"sowt" => (integer(self.bits)?, false, true),
            b"raw " => (Encoding::Int8, true, false),
            b"in16" => (Encoding::Int16, true, true),
            b"in24" => (Encoding::Int24, true, true),
            b"in32" => (Encoding::Int32, true, true),
            b"42ni" => (Encoding::Int24, false, true),
            b"23ni" => (Encoding::Int32, false, true),
            b"fl32" | b"FL32" => (Encoding::Float32, true, true),
            b"fl64" | b"FL64" => (Encoding::Float64, true, true),
            other => return Err(Problem::Codec(format!("compression type {}", other.escape_ascii()))),
        };
        let rate_hz = whole(self.rate_hz).ok_or(Problem::Rate(self.rate_hz))?;
        Ok((Packing { encoding, big_endian, signed_bytes }, Format::new(self.channels, rate_hz, encoding)?))
    }
}

/// A number of 80 bits (IEEE 754, extended): sign and exponent, and a mantissa with its first bit written out.
#[expect(clippy::cast_precision_loss, reason = "rates are whole numbers of at most 19 bits")]
fn extended(bytes: &[u8; 10]) -> f64 {
    let [high, low, mantissa @ ..] = *bytes;
    let exponent = i32::from(u16::from_be_bytes([high & 0x7f, low])) - 16_383 - 63;
    let value = u64::from_be_bytes(mantissa) as f64 * f64::from(exponent).exp2();
    if high & 0x80 == 0 { value } else { -value }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked before")]
fn whole(value: f64) -> Option<u32> {
    ((0.0..4e9).contains(&value) && value.fract() == 0.0).then_some(value as u32)
}

fn u32_at(bytes: &[u8], start: usize) -> u32 {
    bytes[start..].first_chunk().map_or(0, |field| u32::from_be_bytes(*field))
}
