use fastrand::Rng;

use crate::Encoding;

/// Brings samples to what integers of a length can be rounded from.
pub struct Quantiser {
    full: f64,
    dither: Option<Rng>,
    clipped: u64,
}

impl Quantiser {
    pub fn new(encoding: Encoding, dithered: bool) -> Self {
        // Always the same seed: the same take gives the same file.
        Self { full: encoding.full_scale(), dither: dithered.then(|| Rng::with_seed(0)), clipped: 0 }
    }

    /// How many samples are to be clipped, of those that went through.
    pub fn clipped(&self) -> u64 {
        self.clipped
    }

    /// With dither, if there is any, and gain.
    pub fn values(&mut self, channel: &[f64], gain: f64) -> impl Iterator<Item = f64> {
        let Self { full, dither, clipped } = self;
        let step = full.recip();
        channel.iter().map(move |value| {
            let noise = dither.as_mut().map_or(0.0, |dither| (dither.f64() - dither.f64()) * step);
            let value = value * gain + noise;
            *clipped += u64::from(!(-1.0 - step / 2.0..1.0 - step / 2.0).contains(&value));
            value
        })
    }

    /// Rounded, for at most 32 bits.
    #[expect(clippy::cast_possible_truncation, reason = "rounded and clamped before")]
    pub fn integers(&mut self, channel: &[f64], gain: f64) -> impl Iterator<Item = i32> {
        let full = self.full;
        self.values(channel, gain)
            .map(move |value| (value * full).round_ties_even().clamp(-full, full - 1.0) as i32)
    }
}
