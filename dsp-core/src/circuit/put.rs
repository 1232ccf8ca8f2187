//! The way back from values that are turned to the chain that they were taken from.

use super::{Cable, Chain, Knobs, Link};
use crate::units::{Capacitance, Length, Tolerance, nine_digits};

impl Knobs {
    /// Writes the values into the chain that they were taken from; a value that is the chain's own leaves its parts as they are.
    ///
    /// Of the dry cables in front of the first splitter the first one takes up the difference as far as it can, then the next one;
    /// without any there is a new one behind the pickup. The box that is listened to gets its input, the secondary of a
    /// transformer a load that reflects it, and where nothing conducts 1 TΩ. Of a chain without a box all resistances,
    /// and all capacitances, become one, where the first stood. A part that gets another value keeps its tolerance in per cent, and one
    /// that stands for several has the largest of theirs.
    ///
    /// [`Knobs::take`] then gives the same values again, to nine digits where a length or a secondary has to be reckoned.
    #[must_use]
    pub fn put(&self, chain: &Chain) -> Chain {
        let (own, _) = Self::take(chain);
        let (mut links, loads): (Vec<Link>, Vec<bool>) =
            chain.links().map(|(link, loads)| (link.clone(), loads)).unzip();
        let loading = loads.iter().filter(|loads| **loads).count();
        let heard = links[..loading].iter().rposition(|link| matches!(link, Link::Box(_)));
        if let Some(Link::Box(heard)) = heard.map(|index| &mut links[index]) {
            heard.conduct(self.input);
            let tolerance = heard.capacitance.map_or(Tolerance::NONE, Capacitance::tolerance);
            heard.capacitance = self.capacitance.map(|capacitance| capacitance.with_tolerance(tolerance));
            heard.turn(self.primary);
        }
        let behind = links.split_off(loading);
        if heard.is_none() {
            if own.input != self.input {
                let tolerance = |link: &Link| match link {
                    Link::Resistance(value) => Some(value.tolerance()),
                    _ => None,
                };
                let new = |tolerance| Some(Link::Resistance(self.input?.with_tolerance(tolerance)));
                replace(&mut links, tolerance, new);
            }
            if own.capacitance != self.capacitance {
                let tolerance = |link: &Link| match link {
                    Link::Capacitance(value) => Some(value.tolerance()),
                    _ => None,
                };
                let new = |tolerance| Some(Link::Capacitance(self.capacitance?.with_tolerance(tolerance)));
                replace(&mut links, tolerance, new);
            }
        }
        if own.cable != self.cable {
            put_cable(self.cable.map_or(0.0, Length::metres), &mut links);
        }
        links.extend(behind);
        Chain::of(links)
    }
}

/// One link in the place of the first that has a kind's tolerance, or at the end, and none of the others.
fn replace(
    links: &mut Vec<Link>,
    tolerance: impl Fn(&Link) -> Option<Tolerance>,
    new: impl Fn(Tolerance) -> Option<Link>,
) {
    let is_one = |link: &Link| tolerance(link).is_some();
    let index = links.iter().position(is_one).unwrap_or(links.len());
    let largest = links.iter().filter_map(&tolerance).fold(Tolerance::NONE, Tolerance::or_larger);
    links.retain(|link| !is_one(link));
    if let Some(new) = new(largest) {
        links.insert(index, new);
    }
}

/// Metres at the default capacitance, which the dry cables in front of the first splitter are to have together.
fn put_cable(metres: f64, links: &mut Vec<Link>) {
    let splitter = links.iter().position(|link| matches!(link, Link::Splitter(_))).unwrap_or(links.len());
    let dry: Vec<usize> = (0..splitter)
        .filter(|index| matches!(links[*index], Link::Cable(Cable { leakage: None, .. })))
        .collect();
    if dry.is_empty() {
        links.splice(0..0, Length::from_metres(metres).ok().map(|length| Link::Cable(Cable::new(length))));
        return;
    }
    let of = |link: &Link| link.nominal().farads / Cable::PER_METRE_FARADS;
    let mut missing = metres - dry.iter().map(|index| of(&links[*index])).sum::<f64>();
    let mut gone = Vec::new();
    for index in &dry {
        // Rounded only where it is written: what is left over for the next cable may be far smaller than this one.
        let wanted = of(&links[*index]) + missing;
        let written = if dry.len() == 1 { metres } else { nine_digits(wanted) };
        if let Link::Cable(cable) = &mut links[*index]
            && let Some(length) = length(cable, written)
        {
            cable.length = length.with_tolerance(cable.length.tolerance());
            break;
        }
        // It cannot give way any further.
        gone.push(*index);
        missing = wanted;
    }
    gone.iter().rev().for_each(|index| drop(links.remove(*index)));
}

/// How long a cable is that has the capacitance of so many metres at the default one; `None` if there is no such length.
fn length(cable: &Cable, metres: f64) -> Option<Length> {
    let length = match cable.per_metre {
        Some(per_metre) => nine_digits(metres * Cable::PER_METRE_FARADS / per_metre.farads()),
        None => metres,
    };
    Length::from_metres(length).ok()
}
