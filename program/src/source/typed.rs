//! Loads as they are typed, and what stands between them and the pickup.

use dsp_core::circuit::{Chain, InputBox, Link, Pickups, Positions};
use dsp_core::units::Load;
use firstjack_words::Words;

use super::NamedChain;
use crate::arguments::HeardArguments;
use crate::error::Failure;

/// A load that was typed, for these pickups.
pub fn load(option: &'static str, text: &str, pickups: &Pickups) -> Result<Load, Failure> {
    let load = Load::typed(text).map_err(|error| Failure::Value { option, error })?;
    check(option, &Chain::from(&load), pickups)?;
    Ok(load)
}

fn check(option: &'static str, chain: &Chain, pickups: &Pickups) -> Result<(), Failure> {
    let checked = pickups.check_losses(chain);
    checked.map_err(|error| Failure::Lossless { place: option.to_owned(), error })
}

/// A setup for each load, with what comes first in front of it.
pub(super) fn setups(arguments: &HeardArguments, pickups: &Pickups) -> Result<Vec<NamedChain>, Failure> {
    let firsts = arguments
        .first
        .iter()
        .map(|text| text.parse::<Link>().map_err(|error| Failure::Usage(format!("--first: {error}"))));
    let firsts: Vec<Link> = firsts.collect::<Result<_, _>>()?;
    let setup = |text: &String| {
        let load = load("--load", text, pickups)?;
        if firsts.is_empty() { Ok(alone(&load)) } else { behind(&firsts, &load, pickups) }
    };
    arguments.load.iter().map(setup).collect()
}

fn alone(load: &Load) -> NamedChain {
    NamedChain {
        name: load.to_string().into(),
        place: Words::ENGLISH.into_load(load),
        venue: None,
        chain: Chain::from(load),
        positions: Positions::default(),
    }
}

/// A load behind other links. Its resistance is the input of the last box, which is the one that is listened to and that may be another.
fn behind(firsts: &[Link], load: &Load, pickups: &Pickups) -> Result<NamedChain, Failure> {
    let followed = if load.is_empty() { &firsts[..firsts.len() - 1] } else { firsts };
    let refused = |error| Failure::Usage(format!("--first: {error}"));
    followed.iter().try_for_each(Link::check_followed).map_err(refused)?;
    let (inputs, others): (Vec<Link>, Vec<Link>) = Chain::from(load)
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
