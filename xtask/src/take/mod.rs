//! The demo's take: a synthesised guitarrón, as its bridge pickup would deliver it unloaded.
//!
//! Everything here is invented and computed: the phrase, the strings, the body. The samples are
//! the pickup's open-circuit voltage; whatever the take is recorded through is applied later, by
//! the filter that the project is about.
//!
//! ```text
//! phrase ─> strings ─> partials ─> voice ──┬──────────────┐
//!    └──────────────────> finger ──────────┴─> body ──────┴─> take
//! ```
//!
//! The strings are modal: each partial is a decaying rotation with its own exact frequency, so
//! that pitch and level are the same at every sample rate and nothing folds back.

mod body;
mod clock;
mod finger;
mod noise;
mod partials;
mod phrase;
mod strings;
mod voice;

#[cfg(test)]
mod measure;
#[cfg(test)]
mod tests;

pub use noise::noise_floor;

use clock::Clock;
use phrase::Pluck;

/// Length of the take in seconds; the last one is silent.
pub const LENGTH_S: f64 = 20.0;

/// Share of the bridge's movement that drives the body, against the string itself.
const BRIDGE_TO_BODY: f64 = 0.35;

/// Brings the loudest sample of the phrase to about 6 dB below full scale. It is a constant, not a
/// normalisation, so that the level does not depend on the sample rate; `tests::peak_level` holds it.
const OUTPUT_GAIN: f64 = 0.1422;

/// Synthesises the phrase at `sample_rate_hz` (8 kHz to 384 kHz): mono, [`LENGTH_S`] long.
///
/// The samples are the open-circuit voltage of the bridge pickup in volts, and one volt is full
/// scale (0 dBFS). The loudest sample is about 0.5 V. No noise floor is in it: see [`noise_floor`].
/// The same rate gives the same bits; other rates give the same sound, without the partials above
/// 0.45 of the rate.
///
/// # Panics
///
/// If `sample_rate_hz` is outside its range.
pub fn guitarron_take(sample_rate_hz: f64) -> Vec<f64> {
    let clock = Clock::new(sample_rate_hz);
    let length = clock.first_sample_at(LENGTH_S);
    let mut bridge = vec![0.0; length];
    let mut touch = vec![0.0; length];
    for (index, pluck) in (0_u64..).zip(phrase::plucks()) {
        voice::add(&mut bridge, &pluck, clock);
        finger::add(&mut touch, &pluck, index, clock);
    }
    mix(&bridge, &touch, clock)
}

/// What the pickup hears: the string, the finger on it, and the body that both drive.
fn mix(bridge: &[f64], touch: &[f64], clock: Clock) -> Vec<f64> {
    let mut body = body::Body::new(clock);
    bridge
        .iter()
        .zip(touch)
        .map(|(&string, &finger)| {
            let answer = body.run(BRIDGE_TO_BODY * string + finger);
            OUTPUT_GAIN * (string + finger::DIRECT * finger + answer)
        })
        .collect()
}
