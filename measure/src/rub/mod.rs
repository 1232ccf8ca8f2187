//! Rubbing the top while a known load is switched in and out across the pickup.
//!
//! What is rubbed is noise, so that only its mean power in bands tells something: half the logarithm of its ratio in neighbouring stretches,
//! with the load and without, is what the circuit does, up to how differently was rubbed. That error is alike in bands that are near each other.

mod bands;
mod pair;

use dsp_core::circuit::Cable;

use crate::toggle::{Toggle, answer};
use crate::{Measured, Recording};

/// The capacitance of a pickup, from a take in which the top is rubbed all the time. The first stretch, up to the first mark, is without what is
/// added, the second with it, and so on. What is found is as in [`crate::toggle::pickup`].
pub fn pickup(take: &Recording, loads: &Toggle, marks_seconds: &[f64], cable: Option<&Cable>) -> Measured {
    answer::measured(|| {
        let pairs = bands::pairs(take, marks_seconds)?;
        answer::capacitance(&pairs, loads, cable)
    })
}
