use super::{Against, Fact, Owner, Subject};
use crate::response::substitute::{TransformerLoad, inductance, transformers};
use crate::response::{Peak, Slope};

/// A resonance of less is not worth a word, in dB.
const LEAST_DB: f64 = 0.5;

/// Of each transformer where its slope begins and what it costs against a resistor of its nominal size; of an inductance without a
/// box what it costs against the rest. The slope is said once.
pub(super) fn facts(subject: &Subject) -> Vec<Fact> {
    let mut slope = slope(subject);
    let of_transformer = |TransformerLoad { name, heard, nominal, plain }| {
        let owner = if heard { Owner::Heard } else { Owner::Box(name) };
        (owner, subject.costs_more_db(&plain), Against::Resistor(nominal.ohms()))
    };
    let of_bare = inductance(subject.chain).map(|(henries, without)| {
        let rest_ohms = without.shunt().ohms();
        let against = if rest_ohms.is_finite() { Against::Rest(rest_ohms) } else { Against::Nothing };
        (Owner::Bare(henries), subject.costs_more_db(&without), against)
    });
    let all = transformers(subject.chain).into_iter().map(of_transformer).chain(of_bare);
    all.map(|(owner, cost_db, against)| {
        let (slope, peak) = slope.take().map_or((None, None), |(slope, peak)| (Some(slope), peak));
        Fact::Inductive { owner, slope, peak, cost_db, against }
    })
    .collect()
}

/// Where it falls, and whether it rises before.
fn slope(subject: &Subject) -> Option<(Slope, Option<Peak>)> {
    // A coil's own resonance is at the other end and has a sentence of its own.
    let peak = subject.response.peak().filter(|peak| peak.db >= LEAST_DB && !subject.response.is_magnetic());
    subject.response.slope().map(|slope| (slope, peak))
}
