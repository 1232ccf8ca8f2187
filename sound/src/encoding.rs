use std::fmt;

/// How a sample is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// 8-bit integer; unsigned in WAV.
    Int8,
    /// 16-bit integer.
    Int16,
    /// 24-bit integer in three bytes.
    Int24,
    /// 32-bit integer.
    Int32,
    /// 64-bit integer; the samples that are handed on have 53 of its bits.
    Int64,
    /// 32-bit float (IEEE 754).
    Float32,
    /// 64-bit float (IEEE 754).
    Float64,
}

impl Encoding {
    /// Every one.
    pub const ALL: [Self; 7] =
        [Self::Int8, Self::Int16, Self::Int24, Self::Int32, Self::Int64, Self::Float32, Self::Float64];

    /// Of one sample.
    #[must_use]
    pub fn bytes(self) -> usize {
        match self {
            Self::Int8 => 1,
            Self::Int16 => 2,
            Self::Int24 => 3,
            Self::Int32 | Self::Float32 => 4,
            Self::Int64 | Self::Float64 => 8,
        }
    }

    /// Of one sample.
    #[must_use]
    pub fn bits(self) -> u16 {
        match self {
            Self::Int8 => 8,
            Self::Int16 => 16,
            Self::Int24 => 24,
            Self::Int32 | Self::Float32 => 32,
            Self::Int64 | Self::Float64 => 64,
        }
    }

    /// An integer of so many bytes.
    pub(crate) fn integer(bytes: u16) -> Option<Self> {
        match bytes {
            1 => Some(Self::Int8),
            2 => Some(Self::Int16),
            3 => Some(Self::Int24),
            4 => Some(Self::Int32),
            8 => Some(Self::Int64),
            _ => None,
        }
    }

    /// Whether it holds more than full scale.
    #[must_use]
    pub fn is_float(self) -> bool {
        matches!(self, Self::Float32 | Self::Float64)
    }

    /// Full scale of an integer encoding, `2^(bits-1)`; one for float.
    #[must_use]
    pub fn full_scale(self) -> f64 {
        if self.is_float() { 1.0 } else { f64::from(self.bits() - 1).exp2() }
    }

    /// The highest level that dither and rounding do not carry beyond the largest integer; one for float.
    #[must_use]
    pub fn highest(self) -> f64 {
        // Beyond 2^52 the step below one of an f64 is the larger one.
        if self.is_float() { 1.0 } else { 1.0 - 2.0 / self.full_scale().min(52_f64.exp2()) }
    }
}

/// As a sentence names it.
impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bits = self.bits();
        if self.is_float() { write!(f, "{bits}-bit float") } else { write!(f, "{bits} bits") }
    }
}

/// How the bytes of a sample lie in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Packing {
    pub encoding: Encoding,
    /// As in AIFF; WAV has the lowest byte first.
    pub big_endian: bool,
    /// Whether 8 bits are signed, as in AIFF; in WAV their zero is 128.
    pub signed_bytes: bool,
}

impl Packing {
    /// As WAV has it.
    pub fn wav(encoding: Encoding) -> Self {
        Self { encoding, big_endian: false, signed_bytes: false }
    }

    /// As AIFF has it.
    pub fn aiff(encoding: Encoding) -> Self {
        Self { encoding, big_endian: true, signed_bytes: true }
    }

    /// Reads one channel from interleaved bytes: the samples at `offset` of every `frame_bytes`, full scale one.
    #[expect(clippy::cast_precision_loss, reason = "an f64 has 53 bits; Encoding::Int64 says so")]
    pub fn decode(self, bytes: &[u8], frame_bytes: usize, offset: usize, channel: &mut Vec<f64>) {
        let scale = self.encoding.full_scale().recip();
        let zero = if self.signed_bytes { 0.0 } else { 128.0 };
        let signed = self.signed_bytes;
        let from = Interleaved { bytes, frame_bytes, offset, big_endian: self.big_endian };
        match self.encoding {
            Encoding::Int8 => from.each(channel, |[b]| {
                let value = if signed { f64::from(i8::from_le_bytes([b])) } else { f64::from(b) };
                (value - zero) * scale
            }),
            Encoding::Int16 => from.each(channel, |b| f64::from(i16::from_le_bytes(b)) * scale),
            // Into the upper three bytes of an i32, so that the sign is where it belongs.
            Encoding::Int24 => {
                from.each(channel, |[a, b, c]| f64::from(i32::from_le_bytes([0, a, b, c])) * (scale / 256.0))
            }
            Encoding::Int32 => from.each(channel, |b| f64::from(i32::from_le_bytes(b)) * scale),
            Encoding::Int64 => from.each(channel, |b| i64::from_le_bytes(b) as f64 * scale),
            Encoding::Float32 => from.each(channel, |b| f64::from(f32::from_le_bytes(b))),
            Encoding::Float64 => from.each(channel, f64::from_le_bytes),
        }
    }

    /// Writes one channel into interleaved bytes, the counterpart of [`Packing::decode`]. Beyond full scale an integer
    /// is clipped.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "rounded and clamped before")]
    pub fn encode(
        self,
        channel: impl Iterator<Item = f64>,
        bytes: &mut [u8],
        frame_bytes: usize,
        offset: usize,
    ) {
        let full = self.encoding.full_scale();
        let integer = |value: f64| (value * full).round_ties_even().clamp(-full, full - 1.0);
        let zero = if self.signed_bytes { 0 } else { 128 };
        let into = Places { bytes, frame_bytes, offset, big_endian: self.big_endian };
        match self.encoding {
            Encoding::Int8 => into.put(channel, |v| [(integer(v) as i16 + zero) as u8]),
            Encoding::Int16 => into.put(channel, |v| (integer(v) as i16).to_le_bytes()),
            Encoding::Int24 => into.put(channel, |v| {
                let [a, b, c, _] = (integer(v) as i32).to_le_bytes();
                [a, b, c]
            }),
            Encoding::Int32 => into.put(channel, |v| (integer(v) as i32).to_le_bytes()),
            // The cast saturates: an f64 has no 2^63 - 1.
            Encoding::Int64 => into.put(channel, |v| (integer(v) as i64).to_le_bytes()),
            Encoding::Float32 => into.put(channel, |v| (v as f32).to_le_bytes()),
            Encoding::Float64 => into.put(channel, f64::to_le_bytes),
        }
    }
}

/// One channel in interleaved bytes.
struct Interleaved<'a> {
    bytes: &'a [u8],
    frame_bytes: usize,
    offset: usize,
    big_endian: bool,
}

impl Interleaved<'_> {
    /// The order of bytes is asked for once a block, not once a sample.
    fn each<const N: usize>(self, channel: &mut Vec<f64>, read: impl Fn([u8; N]) -> f64) {
        let Self { bytes, frame_bytes, offset, big_endian } = self;
        let frames = bytes.chunks_exact(frame_bytes);
        let sample = |frame: &[u8]| frame[offset..].first_chunk().copied().unwrap_or([0; N]);
        if big_endian {
            channel.extend(frames.map(|frame| {
                let mut sample = sample(frame);
                sample.reverse();
                read(sample)
            }));
        } else {
            channel.extend(frames.map(|frame| read(sample(frame))));
        }
    }
}

/// Where one channel goes.
struct Places<'a> {
    bytes: &'a mut [u8],
    frame_bytes: usize,
    offset: usize,
    big_endian: bool,
}

impl Places<'_> {
    fn put<const N: usize>(self, channel: impl Iterator<Item = f64>, write: impl Fn(f64) -> [u8; N]) {
        let Self { bytes, frame_bytes, offset, big_endian } = self;
        let frames = bytes.chunks_exact_mut(frame_bytes).zip(channel);
        if big_endian {
            for (frame, value) in frames {
                let mut sample = write(value);
                sample.reverse();
                frame[offset..offset + N].copy_from_slice(&sample);
            }
        } else {
            for (frame, value) in frames {
                frame[offset..offset + N].copy_from_slice(&write(value));
            }
        }
    }
}
