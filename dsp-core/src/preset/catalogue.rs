use serde::Deserialize;

use crate::units::{Capacitance, Inductance, Pitch, Resistance};

/// An instrument and the tuning of its strings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// How a command or a preset names it.
    pub id: String,
    /// How a sentence names it.
    pub name: String,
    /// Open strings in the order in which players name them.
    pub strings: Vec<Pitch>,
}

impl Instrument {
    /// The instruments of `presets/instruments.toml`.
    ///
    /// # Panics
    /// Never: the file is part of the build, and a test reads it.
    pub fn all() -> Vec<Self> {
        toml::from_str::<InstrumentsFile>(include_str!("../../../presets/instruments.toml"))
            .expect("the catalogue is tested")
            .instrument
    }

    /// The string that sounds lowest.
    pub fn lowest(&self) -> Option<&Pitch> {
        self.strings.iter().min_by(|a, b| a.hz(1.0).total_cmp(&b.hz(1.0)))
    }
}

/// A kind of pickup and the range in which its capacitance usually lies.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PickupKind {
    /// How a command names it.
    pub word: String,
    /// How a sentence names it.
    pub name: String,
    /// Lower end of the usual range.
    pub from: Capacitance,
    /// Upper end of the usual range.
    pub to: Capacitance,
    /// A value of the E12 series to start from.
    pub typical: Capacitance,
}

impl PickupKind {
    /// Anywhere between the ends of the usual range.
    ///
    /// # Panics
    /// Never: a test reads the catalogue.
    pub fn range(&self) -> Capacitance {
        format!("{} to {}", self.from, self.to).parse().expect("the catalogue is tested")
    }

    /// The kinds of pickup of `presets/pickups.toml`.
    ///
    /// # Panics
    /// Never: the file is part of the build, and a test reads it.
    pub fn all() -> Vec<Self> {
        pickups().pickup
    }
}

/// A kind of magnetic pickup and values of the E12 series to start from.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoilKind {
    /// How a command names it.
    pub word: String,
    /// How a sentence names it.
    pub name: String,
    /// The coil's inductance.
    pub inductance: Inductance,
    /// The coil's resistance.
    pub resistance: Resistance,
    /// The winding's capacitance.
    pub winding: Capacitance,
    /// Losses of core and cover, as a resistance across the inductance.
    pub loss: Resistance,
    /// The pots of the instruments that have it, as the trade counts them.
    pub pots: Resistance,
}

impl CoilKind {
    /// The kinds of magnetic pickup of `presets/pickups.toml`.
    ///
    /// # Panics
    /// Never: the file is part of the build, and a test reads it.
    pub fn all() -> Vec<Self> {
        pickups().coil
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InstrumentsFile {
    instrument: Vec<Instrument>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PickupsFile {
    pickup: Vec<PickupKind>,
    coil: Vec<CoilKind>,
}

fn pickups() -> PickupsFile {
    toml::from_str(include_str!("../../../presets/pickups.toml")).expect("the catalogue is tested")
}
