use super::Subject;
use crate::circuit::{Blend, Blended, Pickups, Polarity};
use crate::response::{Response, spoken_db};

/// What no ear tells, in dB.
const LEAST_DB: f64 = 0.5;

/// What each pickup of a blend loses by itself, and whether the two cancel at the lowest string.
pub(super) fn sentences(subject: &Subject) -> Vec<String> {
    let Pickups::Blend(Blend([first, second])) = subject.pickups else { return Vec::new() };
    let loss = |index: usize| spoken_db(subject.response.parts()[index].loss_db(subject.lowest_hz));
    let low = subject.low_string();
    let (one, other) = (&first.pickup, &second.pickup);
    let each = format!("by itself the {one} loses {} at {low}, the {other} {}", loss(0), loss(1));
    let turned = Blended {
        polarity: match second.polarity {
            Polarity::Same => Polarity::Reversed,
            Polarity::Reversed => Polarity::Same,
        },
        ..*second
    };
    let other_way = Response::new(&Pickups::Blend(Blend([*first, turned])), subject.chain);
    let louder_db = subject.response.loss_db(subject.lowest_hz) - other_way.loss_db(subject.lowest_hz);
    let cancel = (louder_db >= LEAST_DB).then(|| {
        let gains = spoken_db(louder_db);
        format!("as they are wired the two cancel at {low}: with the polarity of one turned round it gains {gains}")
    });
    std::iter::once(each).chain(cancel).collect()
}
