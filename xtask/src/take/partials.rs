//! The partials of one pluck, as the bridge feels them.

use super::phrase::Pluck;
use std::f64::consts::PI;

/// Where the string is plucked, as a share of its sounding length from the bridge.
const PLUCK_POSITION: f64 = 0.22;
/// Above this frequency the width of the finger rounds the pluck off, in Hz, for the softest and
/// (added to it) the hardest pluck.
const ROUND_HZ: (f64, f64) = (500.0, 1_100.0);
/// Extra decay rate of a partial per squared Hz, in s: friction in the string and air.
const DECAY_PER_SQUARE_HZ: f64 = 5e-6;
/// Partials above this are gone before the attack is over, in Hz.
const HIGHEST_HZ: f64 = 10_000.0;

/// The string's two directions of vibration: across the top it is felt most and spent soonest,
/// along the top less and longer. Their pitches differ a little, so partials beat.
const POLARISATIONS: [Polarisation; 2] = [
    Polarisation { share: 0.75, decay: 1.10, cents: -0.4 },
    Polarisation { share: 0.25, decay: 0.65, cents: 0.9 },
];

/// How one direction of vibration differs from the string's nominal values.
struct Polarisation {
    /// Share of the amplitude at the bridge.
    share: f64,
    /// Factor on the decay rate.
    decay: f64,
    /// Detuning in cents.
    cents: f64,
}

/// One decaying cosine, from the moment of the pluck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Partial {
    /// Frequency in Hz.
    pub(super) hz: f64,
    /// Amplitude at the start; negative where the plucking point inverts it.
    pub(super) amplitude: f64,
    /// Amplitude falls as `exp(-decay_per_s t)`.
    pub(super) decay_per_s: f64,
}

/// Frequency in Hz of partial `n` of a stiff string, `n f0 sqrt(1 + B n²)` (Fletcher, Blackham and
/// Stratton, "Quality of piano tones", 1962; from memory).
pub(super) fn partial_hz(n: f64, f0_hz: f64, inharmonicity: f64) -> f64 {
    n * f0_hz * (1.0 + inharmonicity * n * n).sqrt()
}

/// All partials of `pluck` up to `limit_hz`.
///
/// The force of an ideal plucked string on its bridge has the spectrum `sin(n pi p)/(n pi p)`, with
/// `p` the [`PLUCK_POSITION`] (textbook Fourier series of a triangle, differentiated).
pub(super) fn of(pluck: &Pluck, limit_hz: f64) -> Vec<Partial> {
    let string = pluck.string.open();
    let f0_hz = pluck.string.pitch_hz(pluck.semitones);
    let round_hz = ROUND_HZ.0 + ROUND_HZ.1 * pluck.strength;
    let limit_hz = limit_hz.min(HIGHEST_HZ);
    let mut partials = Vec::new();
    for n in (1_u32..).map(f64::from) {
        let hz = partial_hz(n, f0_hz, string.inharmonicity);
        // Leave room for the detuning of the polarisations.
        if hz * 1.001 > limit_hz {
            return partials;
        }
        let comb = (n * PI * PLUCK_POSITION).sin() / (n * PI * PLUCK_POSITION);
        let amplitude = pluck.strength * comb / (1.0 + (hz / round_hz).powi(2));
        let decay_per_s = string.decay_per_s + DECAY_PER_SQUARE_HZ * hz * hz;
        partials.extend(POLARISATIONS.iter().map(|direction| Partial {
            hz: hz * (direction.cents / 1200.0).exp2(),
            amplitude: amplitude * direction.share,
            decay_per_s: decay_per_s * direction.decay,
        }));
    }
    partials
}
