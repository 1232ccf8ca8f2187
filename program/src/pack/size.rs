//! How large a page may be, and what follows for its sounds.

use super::sound::Codec;

/// The most that a page of half a minute and a set of eight sounds may have, in bytes: 6 MiB. Longer ones and larger sets may
/// have more in proportion.
const MOST_BYTES: f64 = 6.0 * 1024.0 * 1024.0;
const SECONDS: f64 = 30.0;
const SOUNDS: f64 = 8.0;

/// Kept for everything on a page that is not sound, in bytes.
const MARKUP_BYTES: f64 = 512.0 * 1024.0;

/// Bits a second of Opus at least and at most: below it is heard, above nothing is gained (common practice, no source).
pub const OPUS_BITS: (u32, u32) = (64_000, 192_000);

/// Rates are whole multiples of this.
const OPUS_STEP: u32 = 2_000;

/// What Opus' rate may be missed by, and what Ogg adds.
const OGG: f64 = 1.03;

/// Fewer bits a sample than FLAC needs for any recording.
const FLAC_BITS: f64 = 4.0;

/// What the sounds of a page may take.
#[derive(Debug, Clone, Copy)]
pub struct Budget {
    seconds: f64,
    sounds: f64,
}

impl Budget {
    pub fn new(seconds: f64, sounds: usize) -> Self {
        Self { seconds, sounds: f64::from(u32::try_from(sounds).unwrap_or(u32::MAX)) }
    }

    /// Of the whole page, in bytes.
    pub fn page_bytes(&self) -> f64 {
        MOST_BYTES * (self.seconds / SECONDS).max(1.0) * (self.sounds / SOUNDS).max(1.0)
    }

    /// Whether sounds of so many bytes in all leave the page as small as one of half a minute, however long they are: only then
    /// they are kept without loss unasked.
    #[expect(clippy::cast_precision_loss, reason = "bytes of files")]
    pub fn holds(bytes: u64) -> bool {
        bytes as f64 <= sound_bytes(MOST_BYTES)
    }

    /// Whether it is worth to try what is without loss.
    pub fn may_hold_flac(&self, samples_per_second: u32) -> bool {
        let bits = f64::from(samples_per_second) * FLAC_BITS;
        self.sounds * self.seconds * bits / 8.0 <= sound_bytes(MOST_BYTES)
    }

    /// The rate at which Opus fits.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped before")]
    pub fn opus(&self) -> Codec {
        let bits = 8.0 * sound_bytes(self.page_bytes()) / (self.sounds * self.seconds * OGG);
        let bits = bits.clamp(f64::from(OPUS_BITS.0), f64::from(OPUS_BITS.1)) as u32;
        Codec::Opus(bits / OPUS_STEP * OPUS_STEP)
    }
}

/// Of all sounds on a page of so many bytes; base64 makes four characters of three bytes.
fn sound_bytes(page_bytes: f64) -> f64 {
    0.75 * (page_bytes - MARKUP_BYTES)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 6 MiB less 512 KiB, three quarters of it, eight sounds of 30 s: 144 179 bits a second, with 3 % for Ogg
    /// 139 979.
    #[test]
    fn half_a_minute_of_eight_sounds() {
        let budget = Budget::new(30.0, 8);
        assert_eq!(budget.opus(), Codec::Opus(138_000));
        assert!(Budget::holds(4_300_000) && !Budget::holds(4_400_000));
        assert!(!budget.may_hold_flac(48_000) && !Budget::new(1800.0, 2).may_hold_flac(48_000));
        assert_eq!(Budget::new(1800.0, 8).opus(), Codec::Opus(152_000));
    }

    #[test]
    fn little_has_the_highest_rate_and_may_be_without_loss() {
        let budget = Budget::new(3.0, 3);
        assert_eq!(budget.opus(), Codec::Opus(OPUS_BITS.1));
        assert!(budget.may_hold_flac(96_000));
    }
}
