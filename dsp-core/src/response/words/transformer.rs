use super::Subject;
use crate::response::substitute::{inductance, transformers};
use crate::response::{Peak, spoken_db, spoken_hz, spoken_ohms};

/// A resonance of less is not worth a word, in dB.
const LEAST_DB: f64 = 0.5;

/// Of each transformer where its slope begins and what it costs against a resistor of its nominal size.
pub(super) fn sentences(subject: &Subject) -> Vec<String> {
    let mut slope = slope(subject);
    let mut all: Vec<String> = Vec::new();
    for load in transformers(subject.chain) {
        let owner = if load.heard {
            "its transformer".to_owned()
        } else {
            format!("the {}'s transformer", load.name)
        };
        let resistor = format!("a resistor of {} would", spoken_ohms(load.nominal.ohms()));
        let costs = subject.costs_against(&load.plain, &resistor);
        all.push(match slope.take() {
            Some(slope) => format!("{owner} {slope} and {costs}"),
            None => format!("{owner} {costs}"),
        });
    }
    if let Some((henries, without)) = inductance(subject.chain) {
        let rest = without.shunt().ohms();
        let resistor = if rest.is_finite() {
            format!("{} alone would", spoken_ohms(rest))
        } else {
            "nothing would".to_owned()
        };
        let costs = subject.costs_against(&without, &resistor);
        all.push(match slope.take() {
            Some(slope) => format!("{henries} across the pickup {slope} and {costs}"),
            None => format!("{henries} across the pickup {costs}"),
        });
    }
    all
}

/// "falls by 12 dB an octave below 140 Hz", and whether it rises before; said once.
fn slope(subject: &Subject) -> Option<String> {
    let slope = subject.response.slope()?;
    let falls = format!("falls by {} dB an octave below {}", 6 * slope.order, spoken_hz(slope.below_hz));
    // A coil's own resonance is at the other end and has a sentence of its own.
    match subject.response.peak().filter(|peak| peak.db >= LEAST_DB && !subject.response.is_magnetic()) {
        Some(Peak { hz, db }) => {
            Some(format!("{falls}, stands out by {} at {}", spoken_db(db), spoken_hz(hz)))
        }
        None => Some(falls),
    }
}
