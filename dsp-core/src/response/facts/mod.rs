//! What shaped a response, one fact at a time, each kind in a file of its own: the numbers and what they are about. Saying them is
//! for whoever has words.

mod blend;
mod capacitors;
mod controls;
mod fact;
mod resonance;
mod transformer;

pub use fact::{Against, Fact, Owner, Resonance};

use super::Response;
use crate::circuit::{Chain, InputBox, Link, Pickups, Thru};

/// What the facts are about.
struct Subject<'a> {
    pickups: &'a Pickups,
    chain: &'a Chain,
    response: Response,
    lowest_hz: f64,
}

impl Fact {
    /// What shaped the response of `pickups` into `chain`, in the order in which it is said; `lowest_hz` is the lowest string.
    pub fn all(pickups: &Pickups, chain: &Chain, lowest_hz: f64) -> Vec<Self> {
        let subject = Subject { pickups, chain, response: Response::new(pickups, chain), lowest_hz };
        let mut facts = blend::facts(&subject);
        facts.extend(controls::cost(&subject));
        facts.extend(transformer::facts(&subject));
        facts.extend(capacitors::blocking(&subject));
        facts.extend(resonance::facts(&subject));
        facts.extend(controls::top(&subject));
        facts.extend(active(chain));
        facts
    }
}

/// The active pedal that loads the pickup, if one does.
fn active(chain: &Chain) -> Option<Fact> {
    chain.loading().find_map(|link| match link {
        Link::Box(InputBox { name, thru: Some(Thru::Active), .. }) => Some(Fact::Active(name.clone())),
        _ => None,
    })
}

impl Subject<'_> {
    /// What the lowest string loses more with the chain as it is than with another one, in dB.
    fn costs_more_db(&self, than: &Chain) -> f64 {
        self.response.loss_db(self.lowest_hz) - Response::new(self.pickups, than).loss_db(self.lowest_hz)
    }
}
