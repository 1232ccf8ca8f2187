use std::f64::consts::TAU;

use super::substitute::{open_box, with_plain_input, without_boxes};
use super::{Response, landmark};
use crate::circuit::{CapacitivePickup, Chain, Element, Link, Pickup, Pickups, Spread};
use crate::units::Resistance;

/// The inputs that are looked at, in ohms. The highest one is as good as none.
const INPUTS_OHMS: (f64, f64) = (1.0, 1e12);

/// Where the top of a coil is judged that neither resonates nor falls within the band, in Hz.
const TOP_HZ: f64 = 20e3;

/// The input to ask for.
#[derive(Debug, Clone, PartialEq)]
pub struct InputNeeded {
    /// Smallest resistance in ohms; `None` if none is high enough.
    pub from_ohms: Option<f64>,
    /// Where none is: the box or splitter in whose place a buffer would keep it, if there is one.
    pub buffer_before: Option<String>,
    /// Where that would not help either: the leak in front of all boxes that costs most.
    pub leak: Option<Leak>,
    /// Largest one in ohms, if there is one.
    pub to_ohms: Option<f64>,
    /// What it keeps.
    pub keeps: Keeps,
}

/// What leaks, and the resistance that it leaks through, in ohms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Leak {
    /// The pickup.
    Pickup(f64),
    /// A cable.
    Cable(f64),
}

/// What the input to ask for keeps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Keeps {
    /// The lowest string, within so many dB of the level in the passband, which itself is lower by this much in dB.
    Level(f64),
    /// The lowest string, within so many dB of what an open input would leave of it.
    LowString,
    /// The resonance, here in Hz with an input of [`InputNeeded::USUAL_OHMS`]: within so many dB of what that leaves, and where there is an upper
    /// end at most [`InputNeeded::SHRILL_DB`] higher.
    Resonance(f64),
    /// The top, here in Hz, within so many dB of what an input of [`InputNeeded::USUAL_OHMS`] leaves of it.
    Top(f64),
}

fn is_heard(chain: &Chain, link: &Link) -> bool {
    matches!((link, chain.heard()), (Link::Box(input), Some(heard)) if std::ptr::eq(input, heard))
}

/// The lowest resistance that pickup or cables leak through in front of all boxes.
fn worst_leak(pickup: &CapacitivePickup, chain: &Chain) -> Option<Leak> {
    let in_front = chain.loading().take_while(|link| link.name().is_none());
    let cables = in_front.filter(|link| matches!(link, Link::Cable(_)));
    let siemens = cables.map(|cable| cable.nominal().siemens).fold(0.0, f64::max);
    if siemens > pickup.leakage_siemens() {
        return Some(Leak::Cable(siemens.recip()));
    }
    pickup.leakage.map(|leakage| Leak::Pickup(leakage.ohms()))
}

/// What satisfies two pickups; named after the more demanding one.
fn both(one: InputNeeded, other: InputNeeded) -> InputNeeded {
    let from = |needed: &InputNeeded| needed.from_ohms.unwrap_or(f64::INFINITY);
    let keeps = if from(&one) >= from(&other) { one.keeps } else { other.keeps };
    let from_ohms = one.from_ohms.zip(other.from_ohms).map(|(one, other)| one.max(other));
    let to_ohms = [one.to_ohms, other.to_ohms].into_iter().flatten().reduce(f64::min);
    InputNeeded {
        from_ohms,
        buffer_before: one.buffer_before.or(other.buffer_before),
        leak: one.leak.or(other.leak),
        to_ohms: to_ohms.filter(|to| from_ohms.is_some_and(|from| from < *to)),
        keeps,
    }
}

impl InputNeeded {
    /// What instrument amplifiers have, in ohms: players know their instrument by it, and hardly any box on a stage has more, so that more is not to
    /// be had by asking (common practice, no source).
    pub const USUAL_OHMS: f64 = 1e6;

    /// How much higher than with that a resonance may be, in dB: above, most players call a pickup shrill (common practice, no source).
    pub const SHRILL_DB: f64 = 6.0;

    /// The input to ask for with these pickups, so that no more than `max_loss_db` is lost; `lowest_hz` is the lowest string.
    ///
    /// Only the box that is listened to changes: to a plain resistance. The rest of the chain, its cables too, stays. An open input below
    /// is one in place of all boxes. Where none behind the other boxes is high enough, a buffer may be: the last box is named that keeps
    /// what is asked for with an open input in its place.
    ///
    /// - One capacitive pickup without controls: for a box alone, or a load expression, the closed form of a divider, for all
    ///   resistances but the leakages of pickup and cables; what capacitance costs at every frequency a gain control restores, so only the
    ///   rest is asked for.
    /// - Capacitive with controls: the smallest resistance with which the lowest string is within `max_loss_db` of what an open input
    ///   would leave of it.
    /// - Magnetic: the smallest resistance with which it is as bright as players know it: at the frequency where it resonates, with its controls and
    ///   cables, into [`InputNeeded::USUAL_OHMS`] in place of all boxes, no more than `max_loss_db` below what it has there. An upper end,
    ///   where an open input would make the resonance stand out by more than [`InputNeeded::SHRILL_DB`] beyond that. Where nothing
    ///   resonates, the same of the top (where it is 3 dB down, or 20 kHz), without an upper end.
    /// - Two pickups: what both need. An upper end that one sets below what the other needs is given up.
    /// - Where any value carries a tolerance: what suffices wherever the values lie.
    pub fn new(pickups: &Pickups, chain: &Chain, lowest_hz: f64, max_loss_db: f64) -> Self {
        if let Some(spread) = Spread::of(pickups, [chain]) {
            return spread.input_needed(lowest_hz, max_loss_db);
        }
        let search = Search { pickups, chain, max_loss_db };
        if let Pickups::One(Pickup { element: Element::Capacitive(pickup), tone: None, volume: None }) =
            pickups
        {
            let alone = chain.loading().all(|link| link.name().is_none() || is_heard(chain, link));
            let needed = if alone {
                level_kept(pickup, chain, lowest_hz, max_loss_db)
            } else {
                search.level(lowest_hz)
            };
            let helps = needed.from_ohms.is_some() || needed.buffer_before.is_some();
            return Self { leak: if helps { None } else { worst_leak(pickup, chain) }, ..needed };
        }
        let each = (0..pickups.count()).map(|index| {
            let magnetic = pickups.pickup(index).is_magnetic();
            if magnetic {
                search.coil(index)
            } else {
                search.within_of(&search.open(index), index, lowest_hz, Keeps::LowString)
            }
        });
        each.reduce(both).unwrap_or(Self::none(Keeps::LowString))
    }

    const fn none(keeps: Keeps) -> Self {
        Self { from_ohms: None, buffer_before: None, leak: None, to_ohms: None, keeps }
    }

    /// The smallest resistance and the largest one as they are asked for, in ohms: to two figures, inwards, since what is asked for
    /// must suffice.
    pub fn asked_ohms(&self) -> (Option<f64>, Option<f64>) {
        let step = |ohms: f64| 10f64.powf(ohms.log10().floor() - 1.0);
        let up = |ohms: f64| (ohms / step(ohms) - 1e-9).ceil() * step(ohms);
        let down = |ohms: f64| (ohms / step(ohms) + 1e-9).floor() * step(ohms);
        let from = self.from_ohms.map(up);
        let to = self.to_ohms.map(down).filter(|to| from.is_some_and(|from| *to > from));
        (from, to)
    }
}

fn level_kept(pickup: &CapacitivePickup, chain: &Chain, hz: f64, max_loss_db: f64) -> InputNeeded {
    let shunt = with_plain_input(chain, resistance(INPUTS_OHMS.1)).shunt();
    let level_loss_db =
        20.0 * ((pickup.capacitance.farads() + shunt.farads) / pickup.capacitance.farads()).log10();
    let needed = load_needed_ohms(pickup, shunt.farads, hz, max_loss_db + level_loss_db);
    let leaking: f64 = chain
        .loading()
        .filter(|link| matches!(link, Link::Cable(_)))
        .map(|cable| cable.nominal().siemens)
        .sum();
    let beside = |ohms: f64| Some(ohms.recip() - leaking).filter(|rest| *rest > 0.0).map(f64::recip);
    InputNeeded { from_ohms: needed.and_then(beside), ..InputNeeded::none(Keeps::Level(level_loss_db)) }
}

/// # Panics
/// Never: what is looked at lies within what a resistance can be.
fn resistance(ohms: f64) -> Resistance {
    Resistance::from_ohms(ohms.clamp(INPUTS_OHMS.0, INPUTS_OHMS.1)).expect("within the range of a resistance")
}

struct Search<'a> {
    pickups: &'a Pickups,
    chain: &'a Chain,
    max_loss_db: f64,
}

/// What an input must do to a response.
type Suffices<'a> = &'a dyn Fn(&Response) -> bool;

impl Search<'_> {
    /// Of one pickup into a chain with a plain input of so many ohms.
    fn response(&self, index: usize, chain: &Chain, ohms: f64) -> Response {
        let chain = with_plain_input(chain, resistance(ohms));
        let magnetic = self.pickups.pickup(index).is_magnetic();
        Response::new(self.pickups, &chain).of_part(index, magnetic)
    }

    /// With an open input in place of all boxes.
    fn open(&self, index: usize) -> Response {
        self.response(index, &without_boxes(self.chain), INPUTS_OHMS.1)
    }

    fn smallest(&self, index: usize, keeps: Keeps, suffices: Suffices<'_>) -> InputNeeded {
        let holds = |ohms: f64| suffices(&self.response(index, self.chain, ohms));
        if !holds(INPUTS_OHMS.1) {
            let buffer_before = self.buffer_before(index, suffices);
            return InputNeeded { buffer_before, ..InputNeeded::none(keeps) };
        }
        let all = holds(INPUTS_OHMS.0);
        let least = if all { INPUTS_OHMS.0 } else { landmark::between(INPUTS_OHMS.1, INPUTS_OHMS.0, holds) };
        InputNeeded { from_ohms: Some(least), ..InputNeeded::none(keeps) }
    }

    /// The last box that may stay out of reach behind a buffer, so that what is in front of it suffices.
    fn buffer_before(&self, index: usize, suffices: Suffices<'_>) -> Option<String> {
        let links: Vec<&Link> = self.chain.loading().collect();
        let suffices = |before: usize| {
            let front = links[..before].iter().map(|link| (*link).clone());
            let chain = Chain::of(front.chain([open_box()]).collect());
            suffices(&self.response(index, &chain, INPUTS_OHMS.1))
        };
        let mut boxes = links.iter().enumerate().rev().filter_map(|(at, link)| Some((at, link.name()?)));
        boxes.find(|(at, _)| suffices(*at)).map(|(_, name)| name.to_owned())
    }

    /// The lowest string against the level in the passband.
    fn level(&self, hz: f64) -> InputNeeded {
        let open = self.response(0, self.chain, INPUTS_OHMS.1);
        let suffices =
            |response: &Response| response.loss_db(hz) - response.level_loss_db() <= self.max_loss_db;
        self.smallest(0, Keeps::Level(open.level_loss_db()), &suffices)
    }

    fn within_of(&self, reference: &Response, index: usize, hz: f64, keeps: Keeps) -> InputNeeded {
        let most_db = reference.loss_db(hz) + self.max_loss_db;
        self.smallest(index, keeps, &|response| response.loss_db(hz) <= most_db)
    }

    fn coil(&self, index: usize) -> InputNeeded {
        let usual = self.response(index, &without_boxes(self.chain), InputNeeded::USUAL_OHMS);
        let Some(peak) = usual.peak() else {
            let hz = usual.top_corner_hz().unwrap_or(TOP_HZ).min(TOP_HZ);
            return self.within_of(&usual, index, hz, Keeps::Top(hz));
        };
        let needed = self.within_of(&usual, index, peak.hz, Keeps::Resonance(peak.hz));
        let highest_db = peak.db + InputNeeded::SHRILL_DB;
        let calm = |ohms: f64| {
            self.response(index, self.chain, ohms).peak().is_none_or(|peak| peak.db <= highest_db)
        };
        let to_ohms = needed
            .from_ohms
            .filter(|from| !calm(INPUTS_OHMS.1) && calm(*from))
            .map(|from| landmark::between(from, INPUTS_OHMS.1, calm));
        InputNeeded { to_ohms, ..needed }
    }
}

/// The smallest load resistance in ohms with which `pickup`, with `shunt_farads` across it, loses at most
/// `max_loss_db` at `hz`; `None` if no resistance is high enough, because the capacitance, or the pickup's leakage, alone costs more.
///
/// Solves `|s C_p|² / |Y_s + G + s C|² = 10^(-loss/10)` for the conductance `G` (closed form).
fn load_needed_ohms(pickup: &CapacitivePickup, shunt_farads: f64, hz: f64, max_loss_db: f64) -> Option<f64> {
    let (source_siemens, source_farads) = (pickup.leakage_siemens(), pickup.capacitance.farads());
    let w2 = (TAU * hz).powi(2);
    let source_power = w2 * source_farads.powi(2);
    let total_farads = source_farads + shunt_farads;
    let conductance_squared = source_power * 10f64.powf(max_loss_db / 10.0) - w2 * total_farads.powi(2);
    let siemens = conductance_squared.max(0.0).sqrt() - source_siemens;
    (siemens > 0.0).then(|| siemens.recip())
}
