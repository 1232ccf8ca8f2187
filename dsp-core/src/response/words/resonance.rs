use super::Subject;
use crate::circuit::{Chain, Pickups};
use crate::response::{Peak, Response, spoken_db, spoken_hz};

/// Of each coil where its resonance moves, against the coil with its controls and nothing plugged in.
pub(super) fn sentences(subject: &Subject) -> Vec<String> {
    let unloaded = Response::new(subject.pickups, &Chain::default());
    let coils = (0..subject.pickups.count()).filter(|index| subject.pickups.pickup(*index).is_magnetic());
    let sentence = |index: usize| {
        let part = |response: &Response| response.of_part(index, true).peak();
        let loaded = (!subject.chain.is_empty()).then(|| part(&subject.response));
        let words = moves(part(&unloaded), loaded);
        match subject.pickups {
            Pickups::One(_) => words,
            Pickups::Blend(_) => format!("{}: {words}", subject.pickups.pickup(index)),
        }
    };
    coils.map(sentence).collect()
}

/// From a resonance to another; `to` is `None` with nothing plugged in.
fn moves(from: Option<Peak>, to: Option<Option<Peak>>) -> String {
    let place = |peak: Peak| format!("{}, {} high", spoken_hz(peak.hz), spoken_db(peak.db));
    match (from, to) {
        (Some(from), Some(Some(to))) => format!("resonance moves from {}, to {}", place(from), place(to)),
        (Some(from), Some(None)) => format!("resonance at {}, is damped: no peak", place(from)),
        (None, Some(Some(to))) => format!("no peak until it is plugged in, then resonance at {}", place(to)),
        (Some(from), None) => format!("resonance at {}", place(from)),
        (None, None | Some(None)) => "no peak".to_owned(),
    }
}
