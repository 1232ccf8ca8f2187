use super::{Fact, Subject};
use crate::circuit::{Chain, Pickup, Pickups};
use crate::response::Response;

/// What is not worth a sentence, in dB.
const LEAST_DB: f64 = 0.1;

/// Above this nobody misses anything, in Hz.
const TOP_HZ: f64 = 20e3;

/// What the controls on the instrument cost before anything is plugged in.
pub(super) fn cost(subject: &Subject) -> Option<Fact> {
    let Pickups::One(Pickup { tone, volume, .. }) = subject.pickups else { return None };
    let controls = tone.is_some() || volume.is_some();
    let db = Response::new(subject.pickups, &Chain::default()).loss_db(subject.lowest_hz);
    (controls && !subject.chain.is_empty() && db >= LEAST_DB).then_some(Fact::Controls(db))
}

/// Of a capacitive pickup whose top falls too: what is in series, the part of a volume pot above the wiper or a splitter's resistor,
/// makes a low-pass with the cable behind it.
pub(super) fn top(subject: &Subject) -> Option<Fact> {
    let Pickups::One(Pickup { volume, .. }) = subject.pickups else { return None };
    let corner_hz =
        subject.response.top_corner_hz().filter(|hz| *hz < TOP_HZ && !subject.response.is_magnetic());
    let turned_down = volume.filter(|volume| volume.position.fraction() < 1.0);
    Some(Fact::Top(corner_hz?, turned_down.map(|volume| volume.position)))
}
