//! How the K-weighted power of music is spread over frequency, in bands that do not depend on a sample rate, so that it can be kept.

use crate::response::Shape;

use super::k_weighting;

/// The lowest band's frequency; the highest is 20.48 kHz.
const LOWEST_HZ: f64 = 20.0;
const BANDS_PER_OCTAVE: f64 = 12.0;
/// Levels are whole tenths of a decibel.
const LEVELS_PER_DB: f64 = 10.0;
/// The level of nothing at all; more than any spectrum has is as far up.
const NO_LEVEL: i16 = -2_000;
const HIGHEST_LEVEL: i16 = 2_000;

/// Power of a plucked string's partials, as a power of their number: at the bridge the ideal string's amplitudes fall like 1/n
/// (textbook of musical acoustics, from memory), and partials of equal Q ring 1/n as long.
const SLOPE: i32 = -3;
/// Notes of each string, from the open one up, each plucked alike (common practice, no source).
const SEMITONES: u8 = 5;
const PARTIALS: u8 = 100;
/// The weighting's curve is the standard's at this rate; others follow it.
const RATE_HZ: f64 = 48_000.0;

/// K-weighted power (ITU-R BS.1770) in bands a twelfth of an octave apart. What lies between two bands counts to both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spectrum {
    powers: [f64; Self::BANDS],
}

impl Spectrum {
    /// Silence.
    pub const SILENT: Self = Self { powers: [0.0; Self::BANDS] };
    /// How many bands there are.
    pub const BANDS: usize = 121;

    /// What plucked strings, tuned to frequencies in Hz, usually sound like: a guess, of no level. Of the synthesised take of
    /// `xtask` it gives the matching gains within 0.5 dB for loads from 470 kΩ on, within 3 dB for 56 kΩ.
    pub fn usual(strings_hz: impl IntoIterator<Item = f64>) -> Self {
        let mut spectrum = Self::SILENT;
        for open_hz in strings_hz {
            for semitone in 0..SEMITONES {
                let hz = open_hz * (f64::from(semitone) / 12.0).exp2();
                for partial in (1..=PARTIALS).map(f64::from) {
                    let power = partial.powi(SLOPE) * k_weighting::power(partial * hz, RATE_HZ);
                    if partial * hz < 0.5 * RATE_HZ {
                        spectrum.add(&Place::of(partial * hz), power);
                    }
                }
            }
        }
        spectrum
    }

    /// From levels in tenths of a decibel re full scale, as [`Spectrum::levels`] gives them.
    pub fn from_levels(levels: &[i16; Self::BANDS]) -> Self {
        let power = |level: i16| {
            let audible = level > NO_LEVEL;
            if audible {
                10f64.powf(f64::from(level.min(HIGHEST_LEVEL)) / (10.0 * LEVELS_PER_DB))
            } else {
                0.0
            }
        };
        Self { powers: levels.map(power) }
    }

    /// Each band's level in tenths of a decibel re full scale, lowest first. A spectrum from levels has just these.
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    pub fn levels(&self) -> [i16; Self::BANDS] {
        let (low, high) = (f64::from(NO_LEVEL), f64::from(HIGHEST_LEVEL));
        self.powers.map(|power| (10.0 * LEVELS_PER_DB * power.log10()).round().clamp(low, high) as i16)
    }

    /// All power together, as a mean square.
    pub fn power(&self) -> f64 {
        self.powers.iter().sum()
    }

    /// By how many LU shapes change the loudness of the spectra that they come with; that of silence by none. Real-time safe.
    pub fn change_lu<'a>(all: impl IntoIterator<Item = (&'a Self, &'a Shape)>) -> f64 {
        let (mut before, mut after) = (0.0, 0.0);
        for (spectrum, shape) in all {
            let mut hz = LOWEST_HZ;
            for power in &spectrum.powers {
                if *power > 0.0 {
                    before += power;
                    after += power * shape.power(hz);
                }
                hz *= step();
            }
        }
        if before > 0.0 { 10.0 * (after / before).log10() } else { 0.0 }
    }

    pub(super) fn add(&mut self, place: &Place, power: f64) {
        self.powers[place.lower] += (1.0 - place.to_upper) * power;
        self.powers[place.lower + 1] += place.to_upper * power;
    }

    /// Goes `share` of the way to another one.
    pub(super) fn approach(&mut self, other: &Self, share: f64) {
        self.powers.iter_mut().zip(other.powers).for_each(|(to, from)| *to += share * (from - *to));
    }

    pub(super) fn scale(&mut self, factor: f64) {
        self.powers.iter_mut().for_each(|power| *power *= factor);
    }
}

/// Where a frequency lies between two bands. Halfway along a slope of 12 dB an octave the two are off by 0.06 dB, along one of 6 dB by
/// 0.004 dB.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    lower: usize,
    to_upper: f64,
}

impl Place {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    pub fn of(hz: f64) -> Self {
        const LAST: f64 = (Spectrum::BANDS - 1) as f64;
        let position = (BANDS_PER_OCTAVE * (hz / LOWEST_HZ).log2()).clamp(0.0, LAST);
        let lower = position.floor().min(LAST - 1.0);
        Self { lower: lower as usize, to_upper: position - lower }
    }
}

/// From one band to the next.
fn step() -> f64 {
    BANDS_PER_OCTAVE.recip().exp2()
}
