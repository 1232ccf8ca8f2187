//! What a take itself tells of its noise: the floor in third octaves, from its quietest stretches or from one that is named; the mains and its
//! harmonics apart from that; and the music that stands above, string by string. From these follows how much boost an undo may apply.

mod ceiling;
mod floor;
mod frames;
mod hum;
mod lately;
mod music;
mod quietest;
mod taken;

pub use ceiling::{AutoCeiling, Judge, Margins, Others, Stop, Track};
pub use hum::{Hum, Line};
pub use lately::NoiseListener;
pub use music::{EAR_HZ, Music, StringLevel, ear_band};
pub use taken::{Quiet, TakeNoise, Third};

use dsp_core::loudness::k_weight;
use floor::Band;
use frames::Frames;
use music::{Ears, Gathered};

/// With noise nearer to the music than this, in dB, strengths of strings were seen to be 8 dB off.
const LEAST_MUSIC_DB: f64 = 6.0;

/// Listens to a take, one track of it: all channels of a single pickup together, as the mean of their powers.
pub struct NoiseMeter {
    frames: Frames,
    bands: Vec<Band>,
    ears: Ears,
    music: Gathered,
    kept: quietest::Quietest,
    /// Frames of the take where noise is to be looked for, in place of the quietest.
    named: Option<(u64, u64)>,
}

/// What was heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// What there is of noise.
    pub noise: Quiet,
    /// What stands above it.
    pub music: Music,
}

impl Heard {
    /// How far the music stands above the noise, both K-weighted, in dB; `None` without noise or music.
    pub fn music_db(&self) -> Option<f64> {
        let noise = self.noise.noise()?.power(EAR_HZ, k_weight);
        Some(10.0 * (self.music.power(|_| 1.0) / noise).log10()).filter(|db| db.is_finite())
    }

    /// Whether noise is so near to the music that its strings are not told apart from it.
    pub fn is_drowned(&self) -> bool {
        self.music_db().is_some_and(|db| db < LEAST_MUSIC_DB)
    }
}

impl NoiseMeter {
    /// Shorter takes and named stretches than this, in seconds, tell nothing.
    pub const LEAST_SECONDS: f64 = frames::SECONDS;

    /// Of a take at a rate in Hz on strings of these frequencies in Hz; noise is looked for between two frames of the take if they are given.
    pub fn new(rate_hz: f64, strings_hz: &[f64], named: Option<(u64, u64)>) -> Self {
        let frames = Frames::new(rate_hz);
        let ears = Ears::new(&frames, strings_hz);
        let (bands, music) = (floor::bands(&frames), Gathered::new(&ears));
        Self { kept: quietest::Quietest::new(named.is_some()), frames, bands, ears, music, named }
    }

    /// Takes the next samples of all channels, of one length; what is not a number counts as silence.
    pub fn add<'a>(&mut self, channels: impl IntoIterator<Item = &'a [f64]>) {
        self.frames.add(channels);
        while let Some(frame) = self.frames.next() {
            let moment = self.ears.moment(&frame);
            self.music.add(&moment);
            let length = self.frames.length() as u64;
            let within = |(from, to): (u64, u64)| frame.from >= from && frame.from + length <= to;
            if self.named.is_none_or(within) {
                self.kept.add(frame, moment.level, &self.bands);
            }
        }
    }

    /// What was heard of it.
    pub fn finish(self) -> Heard {
        let noise = taken::quiet(&self.frames, &self.bands, self.kept);
        Heard { music: self.music.finish(&self.ears, noise.noise()), noise }
    }
}
