use serde::Serialize;

use crate::EqualiserError;

/// The most bells that a fit uses.
pub(crate) const MOST_BELLS: usize = 2;

/// What the equaliser of a desk can do: one low shelf and two bells, each within these limits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Desk {
    /// The most that a band boosts or cuts, in dB.
    pub most_gain_db: f64,
    /// The lowest and the highest corner of the shelf, in Hz.
    pub shelf_hz: (f64, f64),
    /// The lowest and the highest centre of the bells, in Hz.
    pub bell_hz: (f64, f64),
    /// The lowest and the highest Q of the bells.
    pub bell_q: (f64, f64),
}

impl Default for Desk {
    /// ±15 dB, a shelf from 40 to 400 Hz, bells from 30 Hz to 16 kHz with a Q of 0.4 to 4 (common practice, no source).
    fn default() -> Self {
        Self { most_gain_db: 15.0, shelf_hz: (40.0, 400.0), bell_hz: (30.0, 16e3), bell_q: (0.4, 4.0) }
    }
}

impl Desk {
    /// Whether all limits are in order.
    ///
    /// # Errors
    /// The first that is not.
    pub fn check(&self) -> Result<(), EqualiserError> {
        let limits = [
            ("gain in dB", (self.most_gain_db, self.most_gain_db), (0.1, 40.0)),
            ("shelf in Hz", self.shelf_hz, (5.0, 20e3)),
            ("bells in Hz", self.bell_hz, (5.0, 20e3)),
            ("Q", self.bell_q, (0.1, 30.0)),
        ];
        for (limit, (low, high), (accepted_low, accepted_high)) in limits {
            if !(accepted_low <= low && low <= high && high <= accepted_high) {
                return Err(EqualiserError::Limit { limit, low, high, accepted_low, accepted_high });
            }
        }
        Ok(())
    }
}
