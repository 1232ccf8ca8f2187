use std::f64::consts::TAU;

use crate::circuit::CapacitivePickup;

/// The smallest load resistance in ohms with which `pickup`, with `shunt_farads` across it, loses at most
/// `max_loss_db` at `hz`; `None` if no resistance is high enough, because the capacitance alone costs more.
///
/// Solves `|Y_s|² / |Y_s + G + s C|² = 10^(-loss/10)` for the conductance `G` (closed form).
pub fn load_needed_ohms(
    pickup: &CapacitivePickup,
    shunt_farads: f64,
    hz: f64,
    max_loss_db: f64,
) -> Option<f64> {
    let (source_siemens, source_farads) = (pickup.leakage_siemens(), pickup.capacitance.farads());
    let w2 = (TAU * hz).powi(2);
    let source_power = source_siemens.powi(2) + w2 * source_farads.powi(2);
    let total_farads = source_farads + shunt_farads;
    let conductance_squared = source_power * 10f64.powf(max_loss_db / 10.0) - w2 * total_farads.powi(2);
    let siemens = conductance_squared.max(0.0).sqrt() - source_siemens;
    (siemens > 0.0).then(|| siemens.recip())
}
