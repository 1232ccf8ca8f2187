//! A response in the trade's words: one line for the lowest string, and a sentence for everything that shaped it. Each kind of
//! sentence is a file that finds the facts; any language can say them, `english.rs` is the program's.

mod blend;
mod capacitors;
mod controls;
mod english;
mod fact;
mod needed;
mod resonance;
mod transformer;
mod undo;

pub use fact::{Against, Cost, Fact, Owner, Resonance};
pub use undo::Undone;

use super::{Response, spoken_hz, verdict};
use crate::circuit::{Chain, Pickups};
use crate::units::Pitch;

/// What is said of a chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Description {
    /// The first line: what the lowest string loses, of coils also where the top falls.
    pub verdict: String,
    /// What is behind it, one sentence each; none for a capacitive pickup into a plain input.
    pub sentences: Vec<String>,
}

/// What the sentences are about.
struct Subject<'a> {
    pickups: &'a Pickups,
    chain: &'a Chain,
    response: Response,
    lowest_hz: f64,
}

/// Describes what `pickups` give into `chain`. `lowest` is the lowest string, sounding at `lowest_hz`; `place` says where:
/// "through the tuner", "into 1 MΩ".
pub fn describe(
    pickups: &Pickups,
    chain: &Chain,
    place: &str,
    lowest: &Pitch,
    lowest_hz: f64,
) -> Description {
    let line = headline(&Response::new(pickups, chain), place, lowest, lowest_hz);
    let sentences = facts(pickups, chain, lowest_hz).iter().map(|fact| fact.english(lowest)).collect();
    Description { verdict: line, sentences }
}

/// What shaped the response of `pickups` into `chain`, in the order in which it is said; `lowest_hz` is the lowest string.
pub fn facts(pickups: &Pickups, chain: &Chain, lowest_hz: f64) -> Vec<Fact> {
    let subject = Subject { pickups, chain, response: Response::new(pickups, chain), lowest_hz };
    let mut facts = blend::facts(&subject);
    facts.extend(controls::cost(&subject));
    facts.extend(transformer::facts(&subject));
    facts.extend(capacitors::blocking(&subject));
    facts.extend(resonance::facts(&subject));
    facts.extend(controls::top(&subject));
    facts
}

/// The first line: what the lowest string loses, of coils also where the top falls.
pub fn headline(response: &Response, place: &str, lowest: &Pitch, lowest_hz: f64) -> String {
    let line = verdict(lowest, response.loss_db(lowest_hz), place);
    match response.top_corner_hz().filter(|_| response.is_magnetic()) {
        Some(hz) => format!("{line}; the top falls by 3 dB at {}", spoken_hz(hz)),
        None => line,
    }
}

impl Subject<'_> {
    /// What the lowest string loses more with the chain as it is than with another one, in dB.
    fn costs_more_db(&self, than: &Chain) -> f64 {
        self.response.loss_db(self.lowest_hz) - Response::new(self.pickups, than).loss_db(self.lowest_hz)
    }

    /// The same, as it is said.
    fn costs_against(&self, than: &Chain) -> Cost {
        Cost::of(self.costs_more_db(than))
    }
}
