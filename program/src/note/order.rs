//! Which box to plug in first, and why.

use dsp_core::circuit::{Chain, InputBox, Link, Pickups, Thru};
use dsp_core::response::Response;
use firstjack_words::Words;

use super::merit::Merit;
use super::typeset::shortened;
use super::{LONGEST_NAME, Subject};

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
    let buffered = boxes(chain).find(|(_, input, loads)| *loads && input.thru == Some(Thru::After));
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
        Some((shortened(&input.name, LONGEST_NAME), merit(&moved)))
    };
    let buffered = boxes(chain).filter(|(_, input, _)| input.thru == Some(Thru::After));
    let (name, after) = buffered.filter_map(first).min_by(|(_, a), (_, b)| a.order(b))?;
    let gain = match (merit(chain), after) {
        (Merit::LossDb(before), Merit::LossDb(after)) if before - after >= LEAST_GAIN_DB => words.say(
            "note.order_first_level",
            &[
                ("string", words.note(&subject.strings.lowest)),
                ("before", &words.db(before)),
                ("after", &words.db(after)),
            ],
        ),
        (Merit::TopHz(before), Merit::TopHz(after)) if after >= before * (1.0 + LEAST_RISE) => {
            words.say("note.order_first_top", &[("before", &words.hz(before)), ("after", &words.hz(after))])
        }
        _ => return None,
    };
    Some((name, gain))
}

/// The chain with one of its boxes straight behind the cables at its beginning.
fn with_first(chain: &Chain, index: usize) -> Option<Chain> {
    let mut links: Vec<Link> = chain.links().map(|(link, _)| link.clone()).collect();
    let moved = links.remove(index);
    let cables = links.iter().take_while(|link| matches!(link, Link::Cable(_))).count();
    links.insert(cables, moved);
    Chain::new(links).ok()
}
