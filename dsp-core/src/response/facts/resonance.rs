use super::{Fact, Resonance, Subject};
use crate::circuit::{Chain, Pickups};
use crate::response::{Peak, Response};

/// Of each coil where its resonance moves, against the coil with its controls and nothing plugged in.
pub(super) fn facts(subject: &Subject) -> Vec<Fact> {
    let unloaded = Response::new(subject.pickups, &Chain::default());
    let coils = (0..subject.pickups.count()).filter(|index| subject.pickups.pickup(*index).is_magnetic());
    let fact = |index: usize| {
        let part = |response: &Response| response.of_part(index, true).peak();
        let loaded = (!subject.chain.is_empty()).then(|| part(&subject.response));
        let pickup = match subject.pickups {
            Pickups::One(_) => None,
            Pickups::Blend(_) => Some(*subject.pickups.pickup(index)),
        };
        Fact::Resonance(pickup, moves(part(&unloaded), loaded))
    };
    coils.map(fact).collect()
}

/// From a resonance to another; `to` is `None` with nothing plugged in.
const fn moves(from: Option<Peak>, to: Option<Option<Peak>>) -> Resonance {
    match (from, to) {
        (Some(from), Some(Some(to))) => Resonance::Moves(from, to),
        (Some(from), Some(None)) => Resonance::Damped(from),
        (None, Some(Some(to))) => Resonance::Appears(to),
        (Some(from), None) => Resonance::Unloaded(from),
        (None, None | Some(None)) => Resonance::Nowhere,
    }
}
