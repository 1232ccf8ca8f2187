use super::Subject;
use crate::response::spoken_db;
use crate::response::substitute::without_blocking;

/// What is not worth a sentence, in dB.
const LEAST_DB: f64 = 0.1;

/// What the blocking capacitor of the box that is listened to costs.
pub(super) fn blocking(subject: &Subject) -> Option<String> {
    let farads = subject.chain.heard()?.blocking?.0;
    let db = subject.costs_more_db(&without_blocking(subject.chain)?);
    let (low, size) = (subject.low_string(), spoken_db(db));
    match db {
        LEAST_DB.. => Some(format!("its blocking capacitor of {farads} costs {low} {size}")),
        // In series with a primary it can resonate.
        _ if db <= -LEAST_DB => Some(format!("its blocking capacitor of {farads} lifts {low} by {size}")),
        _ => None,
    }
}
