use std::f64::consts::TAU;

use crate::circuit::Pickup;

/// The smallest load resistance in ohms with which `pickup`, with `shunt_farads` across it, loses at most
/// `max_loss_db` at `hz`; `None` if no resistance is high enough, because the capacitance alone costs more.
///
/// Solves `|Y_s|² / |Y_s + G + s C|² = 10^(-loss/10)` for the conductance `G` (closed form).
pub fn load_needed_ohms(pickup: &Pickup, shunt_farads: f64, hz: f64, max_loss_db: f64) -> Option<f64> {
    let source = pickup.admittance();
    let w2 = (TAU * hz).powi(2);
    let source_power = source.siemens.powi(2) + w2 * source.farads.powi(2);
    let total_farads = source.farads + shunt_farads;
    let conductance_squared = source_power * 10f64.powf(max_loss_db / 10.0) - w2 * total_farads.powi(2);
    let siemens = conductance_squared.max(0.0).sqrt() - source.siemens;
    (siemens > 0.0).then(|| siemens.recip())
}
