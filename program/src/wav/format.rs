use hound::{SampleFormat, WavSpec};

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

/// What a take is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Format {
    pub channels: u16,
    pub rate_hz: u32,
    pub encoding: Encoding,
}

impl Format {
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
