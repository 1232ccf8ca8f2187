use std::fmt;

use anstyle::Style;
use dsp_core::circuit::{Chain, Element, Link, Pickups, Spread};
use dsp_core::filter::Sections;
use dsp_core::response::{Ceiling, Change, Contribution, InputNeeded, Range, Response, Transfer};
use dsp_core::units::Pitch;
use firstjack_words::Words;
use serde::Serialize;

use crate::advice::is_rare;
use crate::name::Name;
use crate::source::{NamedChain, Strings};

/// The rate at which the filter's error is told, in Hz.
const RATE_HZ: f64 = 48_000.0;

/// What is told of one chain; the JSON's fields. Those of version 0.1.0 keep their names and meanings.
#[derive(Debug, Serialize)]
pub struct Told {
    name: Name,
    verdict: String,
    /// What is behind the verdict, one sentence each.
    sentences: Vec<String>,
    /// "capacitive", "magnetic", or "blend" of two.
    pickup_kind: &'static str,
    /// Null for a coil and for a blend.
    pickup_farads: Option<f64>,
    /// Each pickup, in order.
    pickups: Vec<PickupTold>,
    /// Where the low end is 3 dB down; zero if it is nowhere.
    corner_hz: f64,
    /// Within the tolerances, where there are any.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    spread: Option<SpreadTold>,
    /// Where the top is 3 dB down; null if it is not, below 100 kHz.
    top_corner_hz: Option<f64>,
    /// The highest resonance, and how high it is.
    resonance_hz: Option<f64>,
    resonance_db: Option<f64>,
    /// Below this it falls by 12 dB an octave or more.
    second_order_below_hz: Option<f64>,
    /// All resistances in parallel; null if nothing conducts.
    load_ohms: Option<f64>,
    load_farads: f64,
    /// Lost in the whole passband: to shunt capacitance, a volume pot, a coil's resistance.
    level_loss_db: f64,
    strings: Vec<StringTold>,
    max_loss_db: f64,
    /// Smallest resistance that keeps what is asked for: of a capacitive pickup the lowest string within `max_loss_db` of the
    /// level in the passband; see `firstjack tell --help` for others.
    ask_for_ohms: Option<f64>,
    /// Where no input is high enough: the box before which a buffer keeps what is asked for.
    ask_for_buffer_before: Option<String>,
    /// Largest one, for a magnetic pickup that would otherwise stand out too much.
    ask_for_to_ohms: Option<f64>,
    chain: Vec<LinkTold>,
    /// How far the filter that renders this setup is from these figures at most, at 48 kHz up to 20 kHz; null where the model itself
    /// is silent at a frequency.
    worst_error_db: Option<f64>,
    #[serde(skip)]
    instrument_name: String,
    #[serde(skip)]
    lowest_loss_db: f64,
    #[serde(skip)]
    asked: String,
    /// Whether hardly any box has it.
    #[serde(skip)]
    is_rare: bool,
}

/// Figures of a chain any of whose values carries a tolerance, wherever the values lie.
#[derive(Debug, Serialize)]
struct SpreadTold {
    corner_low_hz: f64,
    corner_high_hz: f64,
    /// Null where the top does not fall by 3 dB below 100 kHz, everywhere or at that end.
    top_corner_low_hz: Option<f64>,
    top_corner_high_hz: Option<f64>,
}

#[derive(Debug, Serialize)]
struct PickupTold {
    name: String,
    kind: &'static str,
    farads: Option<f64>,
    henries: Option<f64>,
    /// What the lowest string loses from this pickup, the other one silent.
    loss_db: f64,
}

#[derive(Debug, Serialize)]
struct StringTold {
    name: String,
    hz: f64,
    /// Null where two pickups cancel altogether.
    loss_db: f64,
    /// The least and the most within the tolerances, where there are any.
    #[serde(skip_serializing_if = "Option::is_none")]
    loss_low_db: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    loss_high_db: Option<f64>,
    /// Of a blend, from each pickup by itself.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    by_pickup_db: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct LinkTold {
    name: Name,
    loads: bool,
    loss_alone_db: f64,
    saved_without_db: f64,
}

impl Told {
    pub fn new(pickups: &Pickups, setup: &NamedChain, strings: &Strings, max_loss_db: f64) -> Self {
        let (pickups, chain) = (&pickups.with_positions(setup.positions), &setup.chain);
        let (shunt, lowest_hz) = (chain.shunt(), strings.lowest_hz());
        let response = Response::new(pickups, chain);
        let level_loss_db = response.level_loss_db();
        let needed = InputNeeded::new(pickups, chain, lowest_hz, max_loss_db);
        let (words, lowest) = (Words::ENGLISH, &strings.lowest);
        let told_pickups = pickups_told(pickups, &response, lowest_hz);
        let peak = response.peak();
        let unloaded = Response::new(pickups, &Chain::default());
        let errors = unloaded.parts().iter().zip(response.parts()).map(|(from, to)| {
            Sections::worst_error_db(&Change::new(from, to).shape(Ceiling::default()), RATE_HZ)
        });
        let error_db = errors.fold(0.0, f64::max);
        let spread = Spread::of(pickups, [chain]);
        Self {
            name: setup.name.clone(),
            verdict: words.verdict_of(pickups, chain, lowest, lowest_hz, &setup.place),
            sentences: words.facts(pickups, chain, lowest, lowest_hz),
            pickup_kind: if let [only] = told_pickups.as_slice() { only.kind } else { "blend" },
            pickup_farads: if let [only] = told_pickups.as_slice() { only.farads } else { None },
            pickups: told_pickups,
            corner_hz: response.corner_hz(),
            spread: spread.as_ref().map(SpreadTold::new),
            top_corner_hz: response.top_corner_hz(),
            resonance_hz: peak.map(|peak| peak.hz),
            resonance_db: peak.map(|peak| peak.db),
            second_order_below_hz: response
                .slope()
                .filter(|slope| slope.order >= 2)
                .map(|slope| slope.below_hz),
            load_ohms: Some(shunt.ohms()).filter(|ohms| ohms.is_finite()),
            load_farads: unsigned_zero(shunt.farads),
            level_loss_db: unsigned_zero(level_loss_db),
            strings: strings_told(&response, spread.as_ref(), strings),
            max_loss_db,
            ask_for_ohms: needed.from_ohms,
            ask_for_to_ohms: needed.to_ohms,
            ask_for_buffer_before: needed.buffer_before.clone(),
            chain: links_told(pickups, chain, lowest_hz),
            worst_error_db: Some(error_db).filter(|db| db.is_finite()),
            instrument_name: strings.instrument_name.clone(),
            lowest_loss_db: response.loss_db(lowest_hz),
            asked: words.asked(&needed, max_loss_db),
            is_rare: is_rare(&needed),
        }
    }
}

impl SpreadTold {
    const fn corner_hz(&self) -> Range {
        Range { low: self.corner_low_hz, high: self.corner_high_hz }
    }

    fn new(spread: &Spread) -> Self {
        let (corner, top) = (spread.corner_hz(), spread.top_corner_hz());
        let finite = |hz: f64| Some(hz).filter(|hz| hz.is_finite());
        Self {
            corner_low_hz: corner.low,
            corner_high_hz: corner.high,
            top_corner_low_hz: finite(top.low),
            top_corner_high_hz: finite(top.high),
        }
    }
}

fn pickups_told(pickups: &Pickups, response: &Response, lowest_hz: f64) -> Vec<PickupTold> {
    let told = |(index, part): (usize, &Transfer)| {
        let pickup = pickups.pickup(index);
        let (kind, farads, henries) = match pickup.element {
            Element::Capacitive(element) => ("capacitive", Some(element.capacitance.farads()), None),
            Element::Magnetic(element) => ("magnetic", None, Some(element.inductance.henries())),
        };
        let loss_db = unsigned_zero(part.loss_db(lowest_hz));
        PickupTold { name: Words::ENGLISH.pickup_short(pickup), kind, farads, henries, loss_db }
    };
    response.parts().iter().enumerate().map(told).collect()
}

fn strings_told(response: &Response, spread: Option<&Spread>, strings: &Strings) -> Vec<StringTold> {
    let parts = response.parts();
    let of_blend = if parts.len() > 1 { parts } else { &[] };
    let told = |pitch: &Pitch| {
        let hz = pitch.hz(strings.a4_hz);
        let range = spread.map(|spread| spread.loss_db(hz));
        StringTold {
            name: pitch.to_string(),
            hz,
            loss_db: unsigned_zero(response.loss_db(hz)),
            loss_low_db: range.map(|range| unsigned_zero(range.low)),
            loss_high_db: range.map(|range| unsigned_zero(range.high)),
            by_pickup_db: of_blend.iter().map(|part| unsigned_zero(part.loss_db(hz))).collect(),
        }
    };
    strings.pitches.iter().map(told).collect()
}

fn links_told(pickups: &Pickups, chain: &Chain, hz: f64) -> Vec<LinkTold> {
    let told = |((link, _), contribution): ((&Link, bool), Contribution)| {
        let Contribution { loads, saved_without_db, loss_alone_db } = contribution;
        let name = link.name().map_or_else(|| Words::ENGLISH.link_name(link).into(), Name::from);
        LinkTold { name, loads, loss_alone_db, saved_without_db }
    };
    chain.links().zip(Contribution::of_links(pickups, chain, hz)).map(told).collect()
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (bold, words) = (Style::new().bold(), Words::ENGLISH);
        writeln!(f, "{bold}{}{bold:#}", self.verdict)?;
        if self.corner_hz > 0.0 || self.pickup_kind == "capacitive" {
            let range = self.spread.as_ref().map(|spread| spread.corner_hz());
            write!(f, "corner {}, ", range.map_or(words.hz(self.corner_hz), |range| words.hz_range(range)))?;
        }
        write!(f, "load {}", self.load_ohms.map_or("none".to_owned(), |ohms| words.ohms(ohms)))?;
        // Near a resonance the string may lie above the rest: then none of its loss is level.
        if self.level_loss_db > 0.05 && self.level_loss_db < self.lowest_loss_db + 0.05 {
            write!(f, "; {} of it is level, which gain restores", words.db(self.level_loss_db))?;
        }
        writeln!(f)?;
        self.sentences.iter().try_for_each(|sentence| writeln!(f, "{sentence}"))?;
        self.fmt_strings(f)?;
        if self.chain.len() > 1 {
            writeln!(f, "\n  in the chain                    alone   saved without it")?;
            self.chain.iter().try_for_each(|link| link.fmt(f))?;
        }
        let rare = if self.is_rare { words.get("ask.rare") } else { "" };
        writeln!(f, "\nask for: {}{rare}", self.asked)?;
        if let Some(db) = self.worst_error_db {
            writeln!(f, "{}", words.filter_error(db, RATE_HZ))?;
        }
        if self.spread.is_some() {
            writeln!(f, "{}", words.get("range.told"))?;
        }
        writeln!(f)
    }
}

impl Told {
    fn fmt_strings(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\n  {} string       Hz     loss", self.instrument_name)?;
        if self.spread.is_some() {
            write!(f, "  within tolerances")?;
        }
        let wide = |pickup: &PickupTold| pickup.name.chars().count().max(16);
        if self.pickups.len() > 1 {
            self.pickups.iter().try_for_each(|pickup| write!(f, "  {:>1$}", pickup.name, wide(pickup)))?;
        }
        writeln!(f)?;
        let width = self.instrument_name.chars().count() + 5;
        for StringTold { name, hz, loss_db, loss_low_db, loss_high_db, by_pickup_db } in &self.strings {
            write!(f, "  {name:>width$} {hz:8.2} {:5.1} dB", tenths(*loss_db))?;
            if let (Some(low), Some(high)) = (loss_low_db, loss_high_db) {
                write!(f, "  {:5.1} to {:5.1} dB", tenths(*low), tenths(*high))?;
            }
            let mut by_pickup = self.pickups.iter().zip(by_pickup_db);
            by_pickup
                .try_for_each(|(pickup, db)| write!(f, "  {:1$.1} dB", tenths(*db), wide(pickup) - 3))?;
            writeln!(f)?;
        }
        Ok(())
    }
}

impl fmt::Display for LinkTold {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { name, loads, .. } = self;
        if *loads {
            let (alone_db, saved_db) = (tenths(self.loss_alone_db), tenths(self.saved_without_db));
            writeln!(f, "  {name:28} {alone_db:5.1} dB  {saved_db:5.1} dB")
        } else {
            writeln!(f, "  {name:28} behind the buffer, does not load")
        }
    }
}

/// Without the sign that a sum of nothing and the logarithm of one leave on a zero.
fn unsigned_zero(value: f64) -> f64 {
    value + 0.0
}

/// To tenths, none of them "-0.0".
fn tenths(db: f64) -> f64 {
    unsigned_zero((db * 10.0).round() / 10.0)
}
