//! The two ways to play a take into an amplifier, and how right each is.

use dsp_core::circuit::{Cable, Chain, Element, Feed, Link, Pad, Pickups};
use dsp_core::response::{Between, Fed, Range, Shape, Transfer};
use dsp_core::units::{Capacitance, Length, Resistance, Tolerance};
use serde::Serialize;

use crate::render::Recorded;
use crate::source::NamedChain;

/// A way is called right where its error is no larger, in dB.
pub const RIGHT_DB: f64 = 0.1;

/// Capacitors below it are no larger than what is soldered around them, and above it none is used in a signal's way, in farads.
const CAPACITORS: (f64, f64) = (47e-12, 1e-6);

/// How the load gets into what is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// It is in the file.
    File,
    /// A capacitor in place of the pickup lets the amplifier load.
    Capacitor,
}

/// Why no capacitor stands for a pickup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Obstacle {
    /// It is a coil.
    Coil,
    /// There are two.
    Blend,
    /// It has controls on the instrument.
    Controls,
    /// It leaks.
    Leak,
    /// It is smaller or larger than a capacitor may be.
    Size,
}

/// One way, with what stands between the output and the amplifier.
#[derive(Debug, Clone)]
pub struct Way {
    pub kind: Kind,
    /// What the take is changed by, one a pickup.
    pub shapes: Vec<Shape>,
    pub between: Between,
    pub feed: Feed,
    /// What the capacitance is made of.
    pub capacitors: Vec<Capacitance>,
}

/// What a string has of the pickup's sound, in dB.
#[derive(Debug, Clone, Serialize)]
pub struct OfString {
    pub name: String,
    pub hz: f64,
    /// How far from the pickup's it is wherever values lie within their tolerances.
    pub off_db: Range,
    /// What the capacitor's tolerance makes of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacitor_db: Option<Range>,
}

impl Way {
    /// The load is in the file.
    pub fn file(recorded: &Recorded, setup: &NamedChain, output: Resistance) -> Self {
        Self {
            kind: Kind::File,
            shapes: recorded.at_jack(setup),
            between: recorded.version(setup).between,
            feed: Feed { output, pad: None, capacitance: None },
            capacitors: Vec::new(),
        }
    }

    /// A capacitor stands for the pickup.
    pub fn capacitor(recorded: &Recorded, setup: &NamedChain, output: Resistance) -> Result<Self, Obstacle> {
        let capacitors = capacitors(&recorded.pickups)?;
        let farads = capacitors.iter().map(|part| part.farads()).sum();
        let capacitance = Capacitance::from_farads(farads).map_err(|_| Obstacle::Size)?;
        Ok(Self {
            kind: Kind::Capacitor,
            shapes: recorded.unloaded(),
            between: recorded.version(setup).between,
            feed: Feed { output, pad: None, capacitance: Some(capacitance) },
            capacitors,
        })
    }

    fn fed(&self) -> Fed<'_> {
        Fed { between: &self.between, shapes: &self.shapes, feed: self.feed }
    }

    /// What is lost on the way to the amplifier at every frequency alike, in dB, negative for a loss: the middle of what lies between its ends.
    pub fn insertion_db(&self, lowest_hz: f64) -> f64 {
        let Range { low, high } = self.fed().deviation(lowest_hz);
        f64::midpoint(low, high)
    }

    /// What is left of it where gain takes that away, to either side, in dB, from the lowest string to 10 kHz.
    pub fn error_db(&self, lowest_hz: f64) -> f64 {
        self.fed().error_db(lowest_hz)
    }

    /// The same from an output of next to no resistance: what the take itself is off.
    pub fn error_of_take_db(&self, lowest_hz: f64) -> f64 {
        let output = Resistance::from_ohms(1.0).unwrap_or(self.feed.output);
        Fed { feed: Feed { output, pad: None, ..self.feed }, ..self.fed() }.error_db(lowest_hz)
    }

    /// The most that output and pad may have together.
    pub fn most_ohms(&self, lowest_hz: f64) -> Option<Resistance> {
        self.fed().most_ohms(lowest_hz, RIGHT_DB)
    }

    /// With a pad that takes away about so many dB, within what leaves it right.
    pub fn padded(&self, db: f64, lowest_hz: f64) -> Self {
        let most = self.most_ohms(lowest_hz).unwrap_or(self.feed.output);
        let pad = Pad::of_db(db, self.feed.output, most);
        Self { feed: Feed { pad, ..self.feed }, ..self.clone() }
    }

    /// What a string of `hz` has, against the gain that is right in the middle.
    pub fn of_string(&self, name: String, hz: f64, lowest_hz: f64, percent: f64) -> OfString {
        let insertion_db = self.insertion_db(lowest_hz);
        let within = self.fed().within_db(hz);
        let off_db = Range { low: within.low - insertion_db, high: within.high - insertion_db };
        OfString { name, hz, off_db, capacitor_db: self.capacitor_db(hz, percent) }
    }

    /// What a capacitor that is off by so many per cent, to either side, does to the level at `hz`.
    fn capacitor_db(&self, hz: f64, percent: f64) -> Option<Range> {
        let capacitance = self.feed.capacitance?;
        let loss_db = |part: f64| {
            let capacitance = Capacitance::from_farads(capacitance.farads() * (1.0 + part)).ok();
            Transfer::of_feed(&Feed { capacitance, ..self.feed }, self.chain()).loss_db(hz)
        };
        let (nominal, part) = (loss_db(0.0), percent / 100.0);
        Some(Range { low: nominal - loss_db(-part), high: nominal - loss_db(part) })
    }

    /// What a metre more of cable behind a capacitor costs at `hz`, in dB.
    pub fn metre_db(&self, hz: f64) -> f64 {
        let Ok(metre) = Length::from_metres(1.0) else { return 0.0 };
        let links = self.chain().links().map(|(link, _)| link.clone());
        let longer = Chain::new(std::iter::once(Link::Cable(Cable::new(metre))).chain(links).collect());
        let loss_db = |chain: &Chain| Transfer::of_feed(&self.feed, chain).loss_db(hz);
        longer.map_or(0.0, |longer| loss_db(&longer) - loss_db(self.chain()))
    }

    pub fn chain(&self) -> &Chain {
        &self.between.heard.0
    }
}

/// What stands for the pickup.
fn capacitors(pickups: &Pickups) -> Result<Vec<Capacitance>, Obstacle> {
    let Pickups::One(pickup) = pickups else { return Err(Obstacle::Blend) };
    let Element::Capacitive(element) = pickup.element else { return Err(Obstacle::Coil) };
    if pickup.volume.is_some() || pickup.tone.is_some() {
        return Err(Obstacle::Controls);
    }
    if element.leakage.is_some() {
        return Err(Obstacle::Leak);
    }
    let is_there = (CAPACITORS.0..=CAPACITORS.1).contains(&element.capacitance.farads());
    let capacitors = element.capacitance.with_tolerance(Tolerance::NONE).preferred();
    if is_there && !capacitors.is_empty() { Ok(capacitors) } else { Err(Obstacle::Size) }
}
