//! Rubbing the top while a known load is switched in and out across the pickup.

use dsp_core::circuit::Cable;

use crate::toggle::{self, Toggle};
use crate::{Measured, Recording};

/// The capacitance of a pickup, from a take in which the top is rubbed all the time. The first stretch, up to the first mark, is without what is
/// added, the second with it, and so on. What is found is as in [`toggle::pickup`].
pub fn pickup(take: &Recording, loads: &Toggle, marks_seconds: &[f64], cable: Option<&Cable>) -> Measured {
    toggle::pickup(take, loads, marks_seconds, cable)
}
