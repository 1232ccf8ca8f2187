use std::fmt;
use std::io::Cursor;

use dsp_core::filter::Sections;
use hound::{SampleFormat, WavReader, WavSpec};

// Format tags: linear PCM, IEEE float, and WAVEFORMATEXTENSIBLE, which says in a longer header which of the two it is.
const PCM: u16 = 1;
const FLOAT: u16 = 3;
const EXTENSIBLE: u16 = 0xfffe;

/// How a sample is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// Unsigned 8-bit.
    Int8,
    Int16,
    Int24,
    Int32,
    Float32,
}

impl Encoding {
    pub fn bytes(self) -> usize {
        match self {
            Self::Int8 => 1,
            Self::Int16 => 2,
            Self::Int24 => 3,
            Self::Int32 | Self::Float32 => 4,
        }
    }

    pub fn is_float(self) -> bool {
        self == Self::Float32
    }

    /// Full scale of an integer encoding, `2^(bits-1)`.
    pub fn full_scale(self) -> f64 {
        match self {
            Self::Int8 => 128.0,
            Self::Int16 => 32_768.0,
            Self::Int24 => 8_388_608.0,
            Self::Int32 => 2_147_483_648.0,
            Self::Float32 => 1.0,
        }
    }

    /// The highest level that dither and rounding do not carry beyond the largest integer; one for float.
    pub fn highest(self) -> f64 {
        if self.is_float() { 1.0 } else { 1.0 - 2.0 / self.full_scale() }
    }

    /// Reads one channel from interleaved little-endian bytes: the samples at `offset` of every `frame_bytes`, full
    /// scale one.
    pub fn decode(self, bytes: &[u8], frame_bytes: usize, offset: usize, channel: &mut Vec<f64>) {
        let scale = self.full_scale().recip();
        match self {
            Self::Int8 => each(bytes, frame_bytes, offset, channel, |[b]| (f64::from(b) - 128.0) * scale),
            Self::Int16 => {
                each(bytes, frame_bytes, offset, channel, |b| f64::from(i16::from_le_bytes(b)) * scale);
            }
            // Into the upper three bytes of an i32, so that the sign is where it belongs.
            Self::Int24 => each(bytes, frame_bytes, offset, channel, |[a, b, c]| {
                f64::from(i32::from_le_bytes([0, a, b, c])) * (scale / 256.0)
            }),
            Self::Int32 => {
                each(bytes, frame_bytes, offset, channel, |b| f64::from(i32::from_le_bytes(b)) * scale);
            }
            Self::Float32 => each(bytes, frame_bytes, offset, channel, |b| f64::from(f32::from_le_bytes(b))),
        }
    }

    /// Writes one channel into interleaved bytes, the counterpart of [`Encoding::decode`]. Beyond full scale an integer
    /// is clipped.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "rounded and clamped before")]
    pub fn encode(
        self,
        channel: impl Iterator<Item = f64>,
        bytes: &mut [u8],
        frame_bytes: usize,
        offset: usize,
    ) {
        let full = self.full_scale();
        let integer = |value: f64| (value * full).round_ties_even().clamp(-full, full - 1.0);
        match self {
            Self::Int8 => put(channel, bytes, frame_bytes, offset, |v| [(integer(v) + 128.0) as u8]),
            Self::Int16 => {
                put(channel, bytes, frame_bytes, offset, |v| (integer(v) as i16).to_le_bytes());
            }
            Self::Int24 => put(channel, bytes, frame_bytes, offset, |v| {
                let [a, b, c, _] = (integer(v) as i32).to_le_bytes();
                [a, b, c]
            }),
            Self::Int32 => {
                put(channel, bytes, frame_bytes, offset, |v| (integer(v) as i32).to_le_bytes());
            }
            Self::Float32 => put(channel, bytes, frame_bytes, offset, |v| (v as f32).to_le_bytes()),
        }
    }
}

fn each<const N: usize>(
    bytes: &[u8],
    frame_bytes: usize,
    offset: usize,
    channel: &mut Vec<f64>,
    read: impl Fn([u8; N]) -> f64,
) {
    let sample = |frame: &[u8]| frame[offset..].first_chunk().copied().map_or(0.0, &read);
    channel.extend(bytes.chunks_exact(frame_bytes).map(sample));
}

fn put<const N: usize>(
    channel: impl Iterator<Item = f64>,
    bytes: &mut [u8],
    frame_bytes: usize,
    offset: usize,
    write: impl Fn(f64) -> [u8; N],
) {
    for (frame, value) in bytes.chunks_exact_mut(frame_bytes).zip(channel) {
        frame[offset..offset + N].copy_from_slice(&write(value));
    }
}

/// As a sentence names it.
impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_float() { f.write_str("32-bit float") } else { write!(f, "{} bits", 8 * self.bytes()) }
    }
}

/// What a take is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Format {
    pub channels: u16,
    pub rate_hz: u32,
    pub encoding: Encoding,
}

impl Format {
    /// Reads a format chunk of at least 16 bytes. What `hound` makes of it is taken; what is checked here before it is
    /// named better.
    pub fn from_chunk(chunk: &[u8]) -> Result<Self, String> {
        let field = |start: usize| chunk[start..].first_chunk().map_or(0, |b| u16::from_le_bytes(*b));
        let (tag, channels, block) = (field(0), field(2), field(12));
        if ![PCM, FLOAT, EXTENSIBLE].contains(&tag) {
            return Err(format!("its codec (format tag {tag:#06x}) is not one that can be read"));
        }
        if !(1..=64).contains(&channels) {
            return Err(format!("it has {channels} channels"));
        }
        let spec = spec(chunk, tag)?;
        if !(Sections::RATES_HZ.0..=Sections::RATES_HZ.1).contains(&f64::from(spec.sample_rate)) {
            return Err(format!("its sample rate is {} Hz", spec.sample_rate));
        }
        if block % channels != 0 {
            return Err(format!("{channels} channels do not fit in frames of {block} bytes"));
        }
        // The header says how many bits are valid; what is read is the container, which a sample fills from the top.
        let encoding = match (spec.sample_format, block / channels) {
            (SampleFormat::Int, 1) => Encoding::Int8,
            (SampleFormat::Int, 2) => Encoding::Int16,
            (SampleFormat::Int, 3) => Encoding::Int24,
            (SampleFormat::Int, 4) => Encoding::Int32,
            (SampleFormat::Float, 4) => Encoding::Float32,
            (_, bytes) => return Err(format!("its samples have {} bits", bytes * 8)),
        };
        Ok(Self { channels, rate_hz: spec.sample_rate, encoding })
    }

    pub fn bytes_per_frame(self) -> usize {
        usize::from(self.channels) * self.encoding.bytes()
    }

    pub fn spec(self) -> WavSpec {
        let (bits_per_sample, sample_format) = match self.encoding {
            Encoding::Int8 => (8, SampleFormat::Int),
            Encoding::Int16 => (16, SampleFormat::Int),
            Encoding::Int24 => (24, SampleFormat::Int),
            Encoding::Int32 => (32, SampleFormat::Int),
            Encoding::Float32 => (32, SampleFormat::Float),
        };
        WavSpec { channels: self.channels, sample_rate: self.rate_hz, bits_per_sample, sample_format }
    }
}

/// What `hound` reads from a format chunk, given a file of nothing else. Writers differ in what they append to the chunk, so it gets
/// as many bytes as the tag needs.
fn spec(chunk: &[u8], tag: u16) -> Result<WavSpec, String> {
    let mut chunk = chunk.to_vec();
    if tag == EXTENSIBLE {
        chunk.get_mut(16..18).into_iter().for_each(|size| size.copy_from_slice(&22_u16.to_le_bytes()));
    } else {
        chunk.truncate(16);
    }
    let length = u32::try_from(chunk.len()).unwrap_or(0).to_le_bytes();
    let file = [b"RIFF\0\0\0\0WAVEfmt ".as_slice(), &length, &chunk, b"data\0\0\0\0".as_slice()].concat();
    WavReader::new(Cursor::new(file)).map(|wav| wav.spec()).map_err(|error| match error {
        hound::Error::Unsupported => {
            "its codec (in the extensible header) is not one that can be read".to_owned()
        }
        hound::Error::FormatError(reason) => format!("its format chunk is not valid: {reason}"),
        error => format!("its format chunk is not valid: {error}"),
    })
}
