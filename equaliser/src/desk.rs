use serde::Serialize;

use crate::{EqualiserError, Series};

/// The most bells that a fit uses.
pub(crate) const MOST_BELLS: usize = 2;

/// Two bells that are closer than this ratio of their centres are one band at its stop, and never set: an octave, less what preferred
/// numbers are rounded by (common practice, no source).
pub(crate) const APART: f64 = 1.95;

/// What the equaliser of a desk can do: one low shelf and two bells, each within these limits; and how much of it makes sense.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Desk {
    /// The most that a band boosts or cuts, in dB.
    pub most_gain_db: f64,
    /// The most that all bands together may boost, in dB, against the passband.
    pub most_boost_db: f64,
    /// The lowest and the highest corner of the shelf, in Hz.
    pub shelf_hz: (f64, f64),
    /// The lowest and the highest centre of the bells, in Hz.
    pub bell_hz: (f64, f64),
    /// The lowest and the highest Q of the bells.
    pub bell_q: (f64, f64),
    /// Steps of the gains, in dB.
    pub gain_step_db: f64,
    /// Steps of the frequencies.
    pub hz_steps: Series,
    /// Steps of the Q.
    pub q_steps: Series,
}

impl Default for Desk {
    /// ±15 dB, a shelf from 40 to 400 Hz, bells from 30 Hz to 16 kHz with a Q of 0.4 to 4, in steps of 0.5 dB, of a twelfth of an octave, and
    /// of R10; at most 20 dB in all, ten times the voltage (common practice, no source).
    fn default() -> Self {
        Self {
            most_gain_db: 15.0,
            most_boost_db: 20.0,
            shelf_hz: (40.0, 400.0),
            bell_hz: (30.0, 16e3),
            bell_q: (0.4, 4.0),
            gain_step_db: 0.5,
            hz_steps: Series::Twelfth,
            q_steps: Series::Third,
        }
    }
}

impl Desk {
    /// What the most gain of a band may be, in dB.
    pub const GAINS_DB: (f64, f64) = (0.1, 40.0);
    /// What the most boost of all bands may be, in dB.
    pub const BOOSTS_DB: (f64, f64) = (1.0, 120.0);
    /// Where bands may be, in Hz.
    pub const ANY_HZ: (f64, f64) = (5.0, 20e3);
    /// What the Q of a bell may be.
    pub const ANY_Q: (f64, f64) = (0.1, 30.0);
    /// What the steps of gains may be, in dB.
    pub const GAIN_STEPS_DB: (f64, f64) = (0.1, 6.0);

    /// Whether all limits are in order.
    ///
    /// # Errors
    /// The first that is not.
    pub fn check(&self) -> Result<(), EqualiserError> {
        let one = |value: f64| (value, value);
        let limits = [
            ("gain in dB", one(self.most_gain_db), Self::GAINS_DB),
            ("boost in dB", one(self.most_boost_db), Self::BOOSTS_DB),
            ("shelf in Hz", self.shelf_hz, Self::ANY_HZ),
            ("bells in Hz", self.bell_hz, Self::ANY_HZ),
            ("Q", self.bell_q, Self::ANY_Q),
            ("step of gains in dB", one(self.gain_step_db), Self::GAIN_STEPS_DB),
        ];
        for (limit, (low, high), (accepted_low, accepted_high)) in limits {
            if !(accepted_low <= low && low <= high && high <= accepted_high) {
                return Err(EqualiserError::Limit { limit, low, high, accepted_low, accepted_high });
            }
        }
        Ok(())
    }

    /// By how many octaves two bells, in Hz from low to high, are closer than two bands may be.
    pub(crate) fn octaves_too_close(lower_hz: f64, upper_hz: f64) -> f64 {
        (APART * lower_hz / upper_hz).log2().max(0.0)
    }

    /// Whether two bells, in Hz from low to high, are as close as they may be: a step would be too much.
    pub fn are_closest(lower_hz: f64, upper_hz: f64) -> bool {
        upper_hz < 1.06 * APART * lower_hz
    }
}
