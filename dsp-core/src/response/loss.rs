use super::Transfer;
use crate::units::Pitch;

/// What a note loses.
#[derive(Debug, Clone, PartialEq)]
pub struct NoteLoss {
    /// The note.
    pub pitch: Pitch,
    /// Its fundamental in Hz.
    pub hz: f64,
    /// Loss in dB at the fundamental against the unloaded pickup.
    pub loss_db: f64,
}

/// The loss at each of `notes`, with A4 tuned to `a4_hz` (ISO 16).
pub fn note_losses(transfer: &Transfer, notes: &[Pitch], a4_hz: f64) -> Vec<NoteLoss> {
    losses(notes, a4_hz, |hz| transfer.loss_db(hz))
}

pub(super) fn losses(notes: &[Pitch], a4_hz: f64, loss_db: impl Fn(f64) -> f64) -> Vec<NoteLoss> {
    let of = |pitch: &Pitch| {
        let hz = pitch.hz(a4_hz);
        NoteLoss { pitch: pitch.clone(), hz, loss_db: loss_db(hz) }
    };
    notes.iter().map(of).collect()
}
