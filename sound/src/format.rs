use crate::{Encoding, Problem};

/// The rates that a take may have, in Hz.
pub const RATES_HZ: (u32, u32) = (8_000, 384_000);

/// The most channels.
const MOST_CHANNELS: u16 = 64;

/// What a take is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Format {
    /// 1 to 64.
    pub channels: u16,
    /// Within [`RATES_HZ`].
    pub rate_hz: u32,
    /// Of every sample.
    pub encoding: Encoding,
}

impl Format {
    /// Checks the two numbers.
    pub(crate) fn new(channels: u16, rate_hz: u32, encoding: Encoding) -> Result<Self, Problem> {
        if !(1..=MOST_CHANNELS).contains(&channels) {
            return Err(Problem::Channels(channels));
        }
        if !(RATES_HZ.0..=RATES_HZ.1).contains(&rate_hz) {
            return Err(Problem::Rate(rate_hz.into()));
        }
        Ok(Self { channels, rate_hz, encoding })
    }

    /// Of all channels.
    #[must_use]
    pub fn bytes_per_frame(self) -> usize {
        usize::from(self.channels) * self.encoding.bytes()
    }
}
