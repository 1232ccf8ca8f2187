//! What every report carries.

use dsp_core::circuit::Pickups;

/// Of a report of losses.
pub fn of_figures(pickups: &Pickups) -> String {
    format!(
        "{}\nMute before plugging and unplugging. For mains and earthing, local codes and venue rules come first.\n",
        model(pickups)
    )
}

/// That the figures are those of a model.
pub fn model(pickups: &Pickups) -> String {
    let magnetic = |index| pickups.pickup(index).is_magnetic();
    let what = match (0..pickups.count()).filter(|index| magnetic(*index)).count() {
        0 => "a pickup's capacitance varies from piece to piece",
        coils if coils == pickups.count() => "a coil's inductance varies from piece to piece",
        _ => "pickups vary from piece to piece",
    };
    format!("A model with stated inputs: {what}, so measure yours.")
}
