//! Loads as they are typed, and what stands between them and the pickup.

use dsp_core::circuit::{Chain, InputBox, Link, Pickups, Positions};
use dsp_core::kit::{Entry, KitBox, TypedLoad};
use firstjack_words::Words;

use super::remark::Remark;
use super::{NamedChain, OwnKit};
use crate::arguments::HeardArguments;
use crate::error::Failure;

/// A load that was typed, for these pickups.
pub fn load(option: &'static str, text: &str, pickups: &Pickups, kit: &OwnKit) -> Result<TypedLoad, Failure> {
    let load = kit.load(option, text)?;
    check(option, &load.chain, pickups)?;
    Ok(load)
}

fn check(option: &'static str, chain: &Chain, pickups: &Pickups) -> Result<(), Failure> {
    let checked = pickups.check_losses(chain);
    checked.map_err(|error| Failure::Lossless { place: option.to_owned(), error })
}

/// A setup for each load, with what comes first in front of it; and what is to be said of boxes in parallel.
pub(super) fn setups(
    arguments: &HeardArguments,
    pickups: &Pickups,
    kit: &OwnKit,
) -> Result<(Vec<NamedChain>, Vec<Remark>), Failure> {
    let firsts = arguments.first.iter().map(|text| kit.link("--first", text));
    let firsts: Vec<Link> = firsts.collect::<Result<_, _>>()?;
    let mut remarks = Vec::new();
    let setup = |text: &String| {
        let load = load("--load", text, pickups, kit)?;
        remarks.extend(buffered_in_parallel(&load, kit));
        if firsts.is_empty() { Ok(alone(&load)) } else { behind(&firsts, &load, pickups) }
    };
    let setups = arguments.load.iter().map(setup).collect::<Result<_, _>>()?;
    Ok((setups, remarks))
}

/// On a box of the kit beside other inputs that its buffer keeps away, where they are plugged into it.
fn buffered_in_parallel(load: &TypedLoad, kit: &OwnKit) -> Option<Remark> {
    let inputs = load.chain.links().filter(|(link, _)| matches!(link, Link::Box(_) | Link::Resistance(_)));
    let is_among = |name: &str| load.names.iter().any(|known| known == name);
    let buffered = |entry: Entry| match entry {
        Entry::Box(KitBox { input: InputBox { name, thru: Some(thru), .. }, .. }) => {
            (is_among(&name) && !thru.passes_load()).then_some(Remark::Parallel(name))
        }
        _ => None,
    };
    if inputs.count() > 1 { kit.used().into_iter().find_map(buffered) } else { None }
}

fn alone(load: &TypedLoad) -> NamedChain {
    NamedChain {
        name: load.to_string().into(),
        place: Words::ENGLISH.into_load(load),
        venue: None,
        chain: load.chain.clone(),
        positions: Positions::default(),
    }
}

/// A load behind other links. Its resistance is the input of the last box, which is the one that is listened to and that may be another.
fn behind(firsts: &[Link], load: &TypedLoad, pickups: &Pickups) -> Result<NamedChain, Failure> {
    let followed = if load.is_empty() { &firsts[..firsts.len() - 1] } else { firsts };
    let refused = |error| Failure::Usage(format!("--first: {error}"));
    followed.iter().try_for_each(Link::check_followed).map_err(refused)?;
    let (inputs, others): (Vec<Link>, Vec<Link>) = load
        .chain
        .links()
        .map(|(link, _)| link.clone())
        .partition(|link| matches!(link, Link::Resistance(_) | Link::Box(_)));
    let named = |link| match link {
        Link::Resistance(value) => Link::Box(InputBox::new(value.to_string(), value)),
        other => other,
    };
    let links = firsts.iter().cloned().chain(others).chain(inputs.into_iter().map(named)).collect();
    let chain = Chain::new(links).map_err(|error| Failure::Usage(format!("--first: {error}")))?;
    check("--first", &chain, pickups)?;
    let words = Words::ENGLISH;
    let mut names: Vec<String> = firsts.iter().map(|link| words.link_name(link)).collect();
    names.extend((!load.is_empty()).then(|| load.to_string()));
    let name = names.join(" into ");
    Ok(NamedChain {
        place: words.through(&name),
        name: name.into(),
        venue: None,
        chain,
        positions: Positions::default(),
    })
}
