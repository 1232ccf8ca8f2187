use super::{Fact, Subject};
use crate::circuit::{Blended, Pickups, Polarity};
use crate::response::Response;

/// What no ear tells, in dB.
const LEAST_DB: f64 = 0.5;

/// What each pickup of a blend loses by itself, and whether the two cancel at the lowest string.
pub(super) fn facts(subject: &Subject) -> Vec<Fact> {
    let Pickups::Blend([first, second]) = subject.pickups else { return Vec::new() };
    let loss_db = |index: usize| subject.response.parts()[index].loss_db(subject.lowest_hz);
    let each = Fact::EachAlone(Box::new([(first.pickup, loss_db(0)), (second.pickup, loss_db(1))]));
    let turned = Blended {
        polarity: match second.polarity {
            Polarity::Same => Polarity::Reversed,
            Polarity::Reversed => Polarity::Same,
        },
        ..*second
    };
    let other_way = Response::new(&Pickups::Blend([*first, turned]), subject.chain);
    let louder_db = subject.response.loss_db(subject.lowest_hz) - other_way.loss_db(subject.lowest_hz);
    let cancel = (louder_db >= LEAST_DB).then_some(Fact::Cancel(louder_db));
    std::iter::once(each).chain(cancel).collect()
}
