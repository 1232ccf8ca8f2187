//! Chains with one thing replaced, to tell what that thing costs.

use crate::circuit::{Chain, Input, InputBox, Link, Transformer};
use crate::units::{Inductance, Resistance};

/// The highest resistance.
const OPEN: &str = "1T";

/// A transformer that loads the pickup, and the chain with a resistor of its nominal size in its place.
pub(super) struct TransformerLoad {
    /// Its box.
    pub name: String,
    /// Whether its box is the one that is listened to.
    pub heard: bool,
    /// Nominal input resistance, `n² R_sec` beside the core's losses.
    pub nominal: Resistance,
    /// The same chain with a plain resistance there: neither inductance, winding and own capacitance nor blocking capacitor.
    pub plain: Chain,
}

/// Every transformer that loads the pickup, in the branches of splitters too.
pub(super) fn transformers(chain: &Chain) -> Vec<TransformerLoad> {
    let mut found = Vec::new();
    let _ = replaced(chain, &mut |input| {
        if let Input::Transformer(transformer) = input.input
            && let Ok(nominal) = Resistance::from_ohms(transformer.nominal_ohms())
        {
            let heard = chain.heard().is_some_and(|heard| std::ptr::eq(heard, input));
            found.push((input.name.clone(), heard, nominal));
        }
        None
    });
    let load = |(which, (name, heard, nominal)): (usize, (String, bool, Resistance))| TransformerLoad {
        plain: without_transformer(chain, which, nominal),
        name,
        heard,
        nominal,
    };
    found.into_iter().enumerate().map(load).collect()
}

fn without_transformer(chain: &Chain, which: usize, nominal: Resistance) -> Chain {
    let mut seen = 0;
    replaced(chain, &mut |input| {
        let Input::Transformer(Transformer { .. }) = input.input else { return None };
        seen += 1;
        (seen == which + 1).then(|| plain(input, nominal))
    })
}

/// An inductance of a load expression, and the chain without it.
pub(super) fn inductance(chain: &Chain) -> Option<(Inductance, Chain)> {
    let at = chain.links().position(|(link, loads)| loads && matches!(link, Link::Inductance(_)))?;
    match chain.links().nth(at)?.0 {
        Link::Inductance(value) => Some((*value, chain.without(at))),
        _ => None,
    }
}

/// The chain without the blocking capacitor of the box that is listened to, if that has one.
pub(super) fn without_blocking(chain: &Chain) -> Option<Chain> {
    let heard = chain.heard().filter(|heard| heard.blocking.is_some())?;
    Some(with_heard(chain, heard, InputBox { blocking: None, ..heard.clone() }))
}

/// The chain with a plain input of this resistance in place of the box that is listened to, the rest kept; without a box, in place
/// of all resistances and inductances of a load expression.
pub(super) fn with_plain_input(chain: &Chain, resistance: Resistance) -> Chain {
    if let Some(heard) = chain.heard() {
        return with_heard(chain, heard, plain(heard, resistance));
    }
    let stays = |link: &&Link| !matches!(link, Link::Resistance(_) | Link::Inductance(_));
    let rest = chain.links().map(|(link, _)| link).filter(stays).cloned();
    Chain::of(rest.chain([Link::Resistance(resistance)]).collect())
}

/// The chain without the box that is listened to; where another one would be listened to instead, and hears something else than what
/// stands at its jack, with an open input in its place.
pub(super) fn without_heard(chain: &Chain) -> Chain {
    let Some(heard) = chain.heard() else { return chain.clone() };
    let at = |link: &Link| matches!(link, Link::Box(input) if std::ptr::eq(input, heard));
    let Some(index) = chain.links().position(|(link, _)| at(link)) else { return chain.clone() };
    let rest = chain.without(index);
    if rest.heard().is_none_or(is_plain) {
        return rest;
    }
    let open = |(link, _): (&Link, bool)| if at(link) { open_box() } else { link.clone() };
    Chain::of(chain.links().map(open).collect())
}

/// The chain's cables and bare capacitances that load the pickup, into an input that does not.
pub(super) fn without_boxes(chain: &Chain) -> Chain {
    let stays = |link: &&Link| matches!(link, Link::Cable(_) | Link::Capacitance(_));
    Chain::of(chain.loading().filter(stays).cloned().chain([open_box()]).collect())
}

/// Whether what a box hears is what stands at its jack.
pub(super) fn is_plain(input: &InputBox) -> bool {
    input.blocking.is_none() && matches!(input.input, Input::Resistance(_))
}

/// A box that does not load.
pub(super) fn open_box() -> Link {
    Link::Box(InputBox::new("open input", OPEN.parse().expect("the highest resistance that there is")))
}

/// A capacitance across the jack stays: any input has some.
fn plain(input: &InputBox, resistance: Resistance) -> InputBox {
    InputBox { input: Input::Resistance(resistance), blocking: None, ..input.clone() }
}

fn with_heard(chain: &Chain, heard: &InputBox, other: InputBox) -> Chain {
    replaced(chain, &mut |input| std::ptr::eq(heard, input).then(|| other.clone()))
}

/// The chain with every box that loads the pickup and for which `other` has another one replaced by that.
fn replaced(chain: &Chain, other: &mut dyn FnMut(&InputBox) -> Option<InputBox>) -> Chain {
    let link = |(link, loads): (&Link, bool)| match link {
        Link::Box(input) if loads => other(input).map_or_else(|| link.clone(), Link::Box),
        Link::Splitter(splitter) if loads => {
            let mut splitter = splitter.clone();
            splitter.branch = replaced(&splitter.branch, other);
            Link::Splitter(splitter)
        }
        _ => link.clone(),
    };
    Chain::of(chain.links().map(link).collect())
}
