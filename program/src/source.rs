//! From arguments to circuits: what was typed, or read from a file of setups, as pickup, chains and strings.

use std::path::Path;

use dsp_core::circuit::{CapacitivePickup, Chain, Element, Pickup, Pickups, Positions};
use dsp_core::preset::{Instrument, Preset, Setup, instruments};
use dsp_core::units::{Load, Pitch, UnitError};

use crate::arguments::{SourceArguments, StringsArguments};
use crate::error::Failure;

/// What a command works on.
pub struct Source {
    pub pickups: Pickups,
    /// What the take was recorded through, if a file said so.
    pub recorded: Option<(Chain, Positions)>,
    pub setups: Vec<NamedChain>,
    /// From the file of setups.
    pub instrument: Option<String>,
}

/// A chain, what to call it, and how a sentence points at it.
pub struct NamedChain {
    pub name: String,
    /// "through the tuner", "into 470 kΩ".
    pub place: String,
    pub chain: Chain,
    pub positions: Positions,
}

/// The strings to look at.
pub struct Strings {
    pub instrument_name: String,
    pub pitches: Vec<Pitch>,
    pub lowest: Pitch,
    pub a4_hz: f64,
}

/// Reads one value of an option.
pub fn value<T: std::str::FromStr<Err = UnitError>>(option: &'static str, text: &str) -> Result<T, Failure> {
    text.parse().map_err(|error| Failure::Value { option, error })
}

impl Source {
    pub fn new<'a>(
        arguments: &SourceArguments,
        loads: impl IntoIterator<Item = &'a String>,
    ) -> Result<Self, Failure> {
        let mut source = match &arguments.setups {
            Some(path) => Self::from_preset(read_preset(path)?),
            None => Self {
                pickups: pickup(arguments, arguments.pickup.as_deref().unwrap_or_default())?,
                recorded: None,
                setups: loads.into_iter().map(|load| from_load(load.as_str())).collect::<Result<_, _>>()?,
                instrument: None,
            },
        };
        if let Some(text) = &arguments.pickup {
            source.pickups = pickup(arguments, text)?;
        }
        Ok(source)
    }

    fn from_preset(preset: Preset) -> Self {
        let named = |Setup { name, chain, positions }: Setup| NamedChain {
            place: format!("through the {name}"),
            name,
            chain,
            positions,
        };
        Self {
            pickups: preset.pickups,
            recorded: Some((preset.recorded, preset.recorded_at)),
            setups: preset.setups.into_iter().map(named).collect(),
            instrument: preset.instrument,
        }
    }
}

fn from_load(text: &str) -> Result<NamedChain, Failure> {
    let load: Load = value("--load", text)?;
    let place = if load.parts().is_empty() { "into no load".to_owned() } else { format!("into {load}") };
    Ok(NamedChain {
        name: load.to_string(),
        place,
        chain: Chain::from(&load),
        positions: Positions::default(),
    })
}

/// A capacitive pickup from its two options.
fn pickup(arguments: &SourceArguments, capacitance: &str) -> Result<Pickups, Failure> {
    let leakage = arguments.leakage.as_deref().map(|text| value("--leakage", text)).transpose()?;
    let element = CapacitivePickup { capacitance: value("--pickup", capacitance)?, leakage };
    Ok(Pickup::of(Element::Capacitive(element)).into())
}

fn read_preset(path: &Path) -> Result<Preset, Failure> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        let accepted = "accepted are text files (TOML) as in presets/";
        Failure::input(path, format!("cannot read it as a file of setups: {error}; {accepted}"))
    })?;
    let preset =
        Preset::from_toml(&text).map_err(|error| Failure::Preset { path: path.to_owned(), error })?;
    if let Some(id) = &preset.instrument {
        find(id).map_err(|problem| Failure::input(path, problem))?;
    }
    Ok(preset)
}

impl Strings {
    pub fn new(arguments: &StringsArguments, of_source: Option<&str>) -> Result<Self, Failure> {
        let instrument = match &arguments.strings {
            Some(text) => Instrument {
                id: String::new(),
                name: "own tuning".to_owned(),
                strings: text
                    .split_whitespace()
                    .map(|pitch| value("--strings", pitch))
                    .collect::<Result<_, _>>()?,
            },
            None => find(arguments.instrument.as_deref().or(of_source).unwrap_or("bass"))
                .map_err(|problem| Failure::Usage(format!("--instrument: {problem}")))?,
        };
        let lowest = instrument.lowest().cloned().ok_or_else(|| {
            Failure::Usage("--strings: no pitch given; accepted are A1, C#3, Bb2 ...".to_owned())
        })?;
        Ok(Self {
            instrument_name: instrument.name,
            pitches: instrument.strings,
            lowest,
            a4_hz: arguments.a4,
        })
    }

    pub fn lowest_hz(&self) -> f64 {
        self.lowest.hz(self.a4_hz)
    }
}

fn find(id: &str) -> Result<Instrument, String> {
    let all = instruments();
    let known: Vec<&str> = all.iter().map(|instrument| instrument.id.as_str()).collect();
    let known = known.join(", ");
    all.into_iter()
        .find(|instrument| instrument.id == id || instrument.name == id)
        .ok_or_else(|| format!("instrument '{id}' is not known: accepted are {known} (or --strings)"))
}
