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
use strings::StringName;

/// Length of the take in seconds; the last one is silent.
pub const LENGTH_S: f64 = 20.0;

/// From one of the held notes to the next, in seconds.
pub const HELD_S: f64 = 3.4;

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
    played(phrase::plucks(), LENGTH_S, sample_rate_hz)
}

/// The same instrument, each string plucked by itself and held for [`HELD_S`], then two of them once more, stopped; a second of silence at both
/// ends.
///
/// # Panics
///
/// If `sample_rate_hz` is outside its range.
pub fn held_notes(sample_rate_hz: f64) -> Vec<f64> {
    let strings = StringName::ALL.into_iter().map(|string| (string, 0));
    let notes = strings.chain([(StringName::A1, 5), (StringName::D2, 5)]);
    let plucks = (0_u32..).zip(notes).map(|(number, (string, semitones))| {
        let onset_s = 1.0 + f64::from(number) * HELD_S;
        Pluck { string, semitones, strength: 0.8, onset_s, silent_s: onset_s + HELD_S - 0.1 }
    });
    played(plucks.collect(), 8.0 * HELD_S + 2.0, sample_rate_hz)
}

fn played(plucks: Vec<Pluck>, length_s: f64, sample_rate_hz: f64) -> Vec<f64> {
    let clock = Clock::new(sample_rate_hz);
    let length = clock.first_sample_at(length_s);
    let mut bridge = vec![0.0; length];
    let mut touch = vec![0.0; length];
    for (index, pluck) in (0_u64..).zip(plucks) {
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
