use super::{Fact, Subject};
use crate::response::substitute::without_blocking;

/// What is not worth a sentence, in dB.
const LEAST_DB: f64 = 0.1;

/// What the blocking capacitor of the box that is listened to costs. In series with a primary it can resonate, and lift.
pub(super) fn blocking(subject: &Subject) -> Option<Fact> {
    let capacitance = subject.chain.heard()?.blocking?;
    let db = subject.costs_more_db(&without_blocking(subject.chain)?);
    (db.abs() >= LEAST_DB).then_some(Fact::Blocking(capacitance, db))
}
