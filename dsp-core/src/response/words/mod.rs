//! A response in the trade's words: one line for the lowest string, and a sentence for everything that shaped it. Each kind of
//! sentence is a file.

mod blend;
mod capacitors;
mod controls;
mod needed;
mod resonance;
mod transformer;
mod undo;

pub use undo::Undone;

use super::{Response, spoken_db, spoken_hz, verdict};
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
    lowest: &'a Pitch,
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
    let response = Response::new(pickups, chain);
    let line = headline(&response, place, lowest, lowest_hz);
    let subject = Subject { pickups, chain, response, lowest, lowest_hz };
    let mut sentences = blend::sentences(&subject);
    sentences.extend(controls::cost(&subject));
    sentences.extend(transformer::sentences(&subject));
    sentences.extend(capacitors::blocking(&subject));
    sentences.extend(resonance::sentences(&subject));
    sentences.extend(controls::top(&subject));
    Description { verdict: line, sentences }
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
    /// "low A".
    fn low_string(&self) -> String {
        format!("low {}", self.lowest.letter())
    }

    /// What the lowest string loses more with the chain as it is than with another one, in dB.
    fn costs_more_db(&self, than: &Chain) -> f64 {
        self.response.loss_db(self.lowest_hz) - Response::new(self.pickups, than).loss_db(self.lowest_hz)
    }

    /// "costs low A 11 dB more than a resistor of 216 kΩ would".
    fn costs_against(&self, than: &Chain, what: &str) -> String {
        let (low, db) = (self.low_string(), self.costs_more_db(than));
        match db {
            ..-0.05 => format!("costs {low} {} less than {what}", spoken_db(db)),
            ..0.05 => format!("costs {low} no more than {what}"),
            _ => format!("costs {low} {} more than {what}", spoken_db(db)),
        }
    }
}
