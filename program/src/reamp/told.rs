//! What is told of a take's way into an amplifier, for report and sheet.

use dsp_core::units::Resistance;

use super::level::{Interface, Played};
use super::way::{Kind, Obstacle, OfString, Way};
use crate::render::Recorded;
use crate::source::{NamedChain, Strings};

/// An output's resistance unless it is said, in ohms, and what a capacitor may be off, in per cent (common practice, no source).
pub const USUAL_OHMS: f64 = 100.0;
const USUAL_PERCENT: f64 = 5.0;

/// Which take goes into what, from where.
pub struct Situation<'a> {
    pub recorded: &'a Recorded,
    /// What the pickup would be plugged into.
    pub setup: &'a NamedChain,
    /// What the file of setups is called, if there is one.
    pub title: Option<&'a str>,
    /// The output's resistance.
    pub output: Resistance,
    /// Its level and that of the recording, if they are known.
    pub interface: Option<Interface>,
    /// Whether a pad may be built.
    pub pads: bool,
    /// What a capacitor may be off, in per cent.
    pub capacitor_percent: f64,
}

/// All of it.
pub struct Told<'a> {
    pub situation: &'a Situation<'a>,
    /// The load in the file; a capacitor, or why there can be none.
    pub file: ToldWay,
    pub capacitor: Result<ToldWay, Obstacle>,
}

/// Of one way.
pub struct ToldWay {
    pub way: Way,
    pub error_db: f64,
    /// Of the take itself, from an ideal output.
    pub error_of_take_db: f64,
    pub most_ohms: Option<Resistance>,
    pub strings: Vec<OfString>,
    /// Highest true peak of the rendering at a gain of one, if it was measured.
    pub peak: Option<f64>,
    /// Where levels are known.
    pub played: Option<Played>,
}

/// Both ways, without pads, which depend on the renderings' peaks.
pub struct Ways {
    pub file: Way,
    pub capacitor: Result<Way, Obstacle>,
}

/// Highest true peaks of the renderings at a gain of one, where they were measured.
#[derive(Debug, Clone, Copy, Default)]
pub struct Peaks {
    pub file: Option<f64>,
    pub capacitor: Option<f64>,
}

impl<'a> Situation<'a> {
    /// From an output of usual resistance, of which no level is known, with a capacitor of usual tolerance.
    pub fn usual(recorded: &'a Recorded, setup: &'a NamedChain, title: Option<&'a str>) -> Self {
        let output = Resistance::from_ohms(USUAL_OHMS).expect("a resistance");
        Self { recorded, setup, title, output, interface: None, pads: true, capacitor_percent: USUAL_PERCENT }
    }

    pub fn ways(&self) -> Ways {
        Ways {
            file: Way::file(self.recorded, self.setup, self.output),
            capacitor: Way::capacitor(self.recorded, self.setup, self.output),
        }
    }

    pub fn strings(&self) -> &Strings {
        &self.recorded.strings
    }

    fn told(&self, way: Way, peak: Option<f64>) -> ToldWay {
        let (strings, lowest_hz) = (self.strings(), self.strings().lowest_hz());
        let way = match self.interface.filter(|_| self.pads) {
            Some(interface) => interface.padded(way, lowest_hz, peak),
            None => way,
        };
        let of_string = |(pitch, hz): (&dsp_core::units::Pitch, f64)| {
            way.of_string(pitch.to_string(), hz, lowest_hz, self.capacitor_percent)
        };
        ToldWay {
            error_db: way.error_db(lowest_hz),
            error_of_take_db: way.error_of_take_db(lowest_hz),
            most_ohms: way.most_ohms(lowest_hz),
            strings: strings.marks().into_iter().map(of_string).collect(),
            peak,
            played: self.interface.map(|interface| interface.played(&way, lowest_hz, peak)),
            way,
        }
    }
}

impl<'a> Told<'a> {
    pub fn new(situation: &'a Situation<'a>, ways: Ways, peaks: Peaks) -> Self {
        Self {
            situation,
            file: situation.told(ways.file, peaks.file),
            capacitor: ways.capacitor.map(|way| situation.told(way, peaks.capacitor)),
        }
    }

    pub fn way(&self, kind: Kind) -> Option<&ToldWay> {
        match kind {
            Kind::File => Some(&self.file),
            Kind::Capacitor => self.capacitor.as_ref().ok(),
        }
    }
}
