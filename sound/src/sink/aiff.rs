use super::form::chunks;
use crate::metadata::Family;
use crate::{Encoding, Format, Metadata};

/// The date of the specification of AIFC that is followed, as every file of it says it.
const VERSION: u32 = 0xa280_5140;

/// AIFF; AIFC for floats.
pub struct Aiff {
    format: Format,
    before: Vec<u8>,
    behind: Vec<u8>,
}

/// The length of a file.
pub fn bytes(format: Format, frames: u64, metadata: &Metadata) -> u64 {
    let data_bytes = frames.saturating_mul(format.bytes_per_frame() as u64);
    let aiff = Aiff::new(format, metadata);
    let around = aiff.head(0).len() + aiff.tail(data_bytes).len();
    data_bytes.saturating_add(around as u64)
}

impl Aiff {
    pub fn new(format: Format, metadata: &Metadata) -> Self {
        Self {
            format,
            before: chunks(metadata.chunks_of(Family::Aiff, true), u32::to_be_bytes),
            behind: chunks(metadata.chunks_of(Family::Aiff, false), u32::to_be_bytes),
        }
    }

    pub fn head(&self, data_bytes: u64) -> Vec<u8> {
        let [form, common, sound] = self.parts(data_bytes);
        [form, common, self.before.clone(), sound].concat()
    }

    /// The form's header, the chunks that describe the samples, and the header of theirs.
    fn parts(&self, data_bytes: u64) -> [Vec<u8>; 3] {
        let frames = data_bytes / self.format.bytes_per_frame() as u64;
        let common = common(self.format, frames);
        let form: &[u8] = if self.format.encoding.is_float() { b"AIFC" } else { b"AIFF" };
        let around = 4 + common.len() + self.before.len() + 16 + self.behind.len();
        let total = around as u64 + data_bytes + data_bytes % 2;
        let form = [b"FORM".as_slice(), &length(total), form].concat();
        // No offset, and no blocks.
        let sound = [b"SSND".as_slice(), &length(data_bytes + 8), &[0; 8]].concat();
        [form, common, sound]
    }

    pub fn tail(&self, data_bytes: u64) -> Vec<u8> {
        [&[0][..usize::from(data_bytes % 2 == 1)], &self.behind].concat()
    }
}

fn length(bytes: u64) -> [u8; 4] {
    u32::try_from(bytes).unwrap_or(u32::MAX).to_be_bytes()
}

fn common(format: Format, frames: u64) -> Vec<u8> {
    let mut chunk = Vec::new();
    chunk.extend(format.channels.to_be_bytes());
    chunk.extend(length(frames));
    chunk.extend(format.encoding.bits().to_be_bytes());
    chunk.extend(extended(format.rate_hz));
    // The compression's name has its length in front and fills an even number of bytes with it.
    let compression: &[u8] = match format.encoding {
        Encoding::Float32 => b"fl32\x0d32-bit float",
        Encoding::Float64 => b"fl64\x0d64-bit float",
        _ => return [b"COMM".as_slice(), &length(chunk.len() as u64), &chunk].concat(),
    };
    chunk.extend(compression);
    chunk.extend(&[0][..chunk.len() % 2]);
    let version = [b"FVER".as_slice(), &length(4), &VERSION.to_be_bytes()].concat();
    [version.as_slice(), b"COMM", &length(chunk.len() as u64), &chunk].concat()
}

/// A number of 80 bits (IEEE 754, extended): exponent, and a mantissa with its first bit at the top. Not of zero.
fn extended(value: u32) -> [u8; 10] {
    let shift = value.leading_zeros();
    let mantissa = u64::from(value << shift) << 32;
    // At most 16383 + 31.
    let exponent = (16_383 + 31 - shift).to_be_bytes();
    let mut bytes = [0; 10];
    bytes[..2].copy_from_slice(&exponent[2..]);
    bytes[2..].copy_from_slice(&mantissa.to_be_bytes());
    bytes
}

/// The chunks of the file that samples would stand in as they are, the samples' with nothing in it: what goes into FLAC.
pub fn foreign(format: Format, frames: u64, metadata: &Metadata) -> Vec<Vec<u8>> {
    let aiff = Aiff::new(format, metadata);
    let [form, common, sound] = aiff.parts(frames * format.bytes_per_frame() as u64);
    let one = |chunk| chunks(std::iter::once(chunk), u32::to_be_bytes);
    let before = metadata.chunks_of(Family::Aiff, true).map(one);
    let behind = metadata.chunks_of(Family::Aiff, false).map(one);
    [form, common].into_iter().chain(before).chain([sound]).chain(behind).collect()
}
