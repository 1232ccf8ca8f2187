//! Which box to plug in first, and why.

use dsp_core::circuit::{Chain, InputBox, Link, Pickups, Thru};
use dsp_core::response::Merit;
use firstjack_words::Words;

use super::{LONGEST_NAME, Subject};
use crate::advice::{Advice, Outcome, Remedy, boxes, first};
use crate::typeset::shortened;

/// What to say of a chain's order; where a box is to be given or brought, that this one comes first.
pub fn advice(
    advice: Option<&Advice>,
    pickups: &Pickups,
    chain: &Chain,
    subject: &Subject,
    words: &Words,
) -> String {
    let now = as_it_is(pickups, chain, subject, words);
    if !advice.is_some_and(|advice| matches!(advice.remedy, Remedy::Ask { .. } | Remedy::Bring { .. })) {
        return now;
    }
    let bring = words.get("note.order_bring");
    if now == words.get("note.order_one") {
        return bring.to_owned();
    }
    words.say("note.order_bring_now", &[("bring", bring), ("now", &now)])
}

fn as_it_is(pickups: &Pickups, chain: &Chain, subject: &Subject, words: &Words) -> String {
    let plugged: Vec<&Link> =
        chain.links().map(|(link, _)| link).filter(|link| !matches!(link, Link::Cable(_))).collect();
    match plugged[..] {
        [] => return words.get("note.order_nothing").to_owned(),
        [only] if !matches!(only, Link::Splitter(_)) => return words.get("note.order_one").to_owned(),
        _ => {}
    }
    if let Some((name, gain)) = better(pickups, chain, subject, words) {
        return words.say("note.order_first", &[("name", &name), ("gain", &gain)]);
    }
    let hides = |input: &InputBox| input.thru.is_some_and(|thru| !thru.passes_load());
    let buffered = boxes(chain).find(|(_, input, loads)| *loads && hides(input));
    match buffered {
        Some((_, input, _)) => {
            words.say("note.order_keep", &[("name", &shortened(&input.name, LONGEST_NAME))])
        }
        None => words.get("note.order_parallel").to_owned(),
    }
}

/// The buffered box that is worth putting first, by its name, and what that gains.
fn better(pickups: &Pickups, chain: &Chain, subject: &Subject, words: &Words) -> Option<(String, String)> {
    let outcome = |chain: &Chain| Outcome::new(pickups, chain, subject.lowest_hz());
    let moved = |(index, input, _): (usize, &InputBox, bool)| {
        Some((shortened(&input.name, LONGEST_NAME), outcome(&first(chain, index)?)))
    };
    let buffered = boxes(chain).filter(|(_, input, _)| input.thru == Some(Thru::After));
    let (name, after) = buffered.filter_map(moved).min_by(|(_, a), (_, b)| a.merit.order(&b.merit))?;
    let before = outcome(chain);
    if after.merit.steps_over(&before.merit) < 1.0 {
        return None;
    }
    let id = match after.merit {
        Merit::LossDb(_) => "note.order_first_level",
        Merit::TopHz(_) => "note.order_first_top",
    };
    let string = words.note(&subject.strings.lowest);
    let values = [("string", string), ("before", &*before.figure(words)), ("after", &*after.figure(words))];
    Some((name, words.say(id, &values)))
}
