//! Which box to plug in first, and why.

use dsp_core::circuit::{Chain, InputBox, Link, Pickups, Spread, Thru};
use dsp_core::response::Response;
use firstjack_words::Words;

use super::merit::Merit;
use super::{LONGEST_NAME, Subject};
use crate::typeset::shortened;

/// What is not worth changing anything for, in dB of the lowest string.
const LEAST_GAIN_DB: f64 = 0.5;

/// The same for the top, as a part of its frequency.
const LEAST_RISE: f64 = 0.06;

/// What to say of a chain's order.
pub fn advice(pickups: &Pickups, chain: &Chain, subject: &Subject, words: &Words) -> String {
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

fn boxes(chain: &Chain) -> impl Iterator<Item = (usize, &InputBox, bool)> {
    chain.links().enumerate().filter_map(|(index, (link, loads))| match link {
        Link::Box(input) => Some((index, input, loads)),
        _ => None,
    })
}

/// The buffered box that is worth putting first, by its name, and what that gains.
fn better(pickups: &Pickups, chain: &Chain, subject: &Subject, words: &Words) -> Option<(String, String)> {
    let merit = |chain: &Chain| Merit::of(&Response::new(pickups, chain), subject.lowest_hz());
    let first = |(index, input, _): (usize, &InputBox, bool)| {
        let moved = with_first(chain, index)?;
        let after = merit(&moved);
        Some((shortened(&input.name, LONGEST_NAME), moved, after))
    };
    let buffered = boxes(chain).filter(|(_, input, _)| input.thru == Some(Thru::After));
    let (name, moved, after) = buffered.filter_map(first).min_by(|(.., a), (.., b)| a.order(b))?;
    let id = match (merit(chain), after) {
        (Merit::LossDb(before), Merit::LossDb(after)) if before - after >= LEAST_GAIN_DB => {
            "note.order_first_level"
        }
        (Merit::TopHz(before), Merit::TopHz(after)) if after >= before * (1.0 + LEAST_RISE) => {
            "note.order_first_top"
        }
        _ => return None,
    };
    let said = |chain: &Chain| merit_words(pickups, chain, subject.lowest_hz(), words);
    let string = words.note(&subject.strings.lowest);
    let values = [("string", string), ("before", &*said(chain)), ("after", &*said(&moved))];
    Some((name, words.say(id, &values)))
}

/// A chain's merit as it is said: a range, where any value carries a tolerance.
fn merit_words(pickups: &Pickups, chain: &Chain, lowest_hz: f64, words: &Words) -> String {
    match (Merit::of(&Response::new(pickups, chain), lowest_hz), Spread::of(pickups, [chain])) {
        (Merit::LossDb(_), Some(spread)) => words.db_range(spread.loss_db(lowest_hz)),
        (Merit::TopHz(_), Some(spread)) => words.hz_range(spread.top_corner_hz()),
        (Merit::LossDb(db), None) => words.db(db),
        (Merit::TopHz(hz), None) => words.hz(hz),
    }
}

/// The chain with one of its boxes straight behind the cables at its beginning.
fn with_first(chain: &Chain, index: usize) -> Option<Chain> {
    let mut links: Vec<Link> = chain.links().map(|(link, _)| link.clone()).collect();
    let moved = links.remove(index);
    let cables = links.iter().take_while(|link| matches!(link, Link::Cable(_))).count();
    links.insert(cables, moved);
    Chain::new(links).ok()
}
