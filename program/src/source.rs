//! From arguments to circuits: what was typed, or read from a file of setups, as pickup, chains and strings.

use std::path::Path;

use dsp_core::circuit::{CapacitivePickup, Chain, Element, MagneticPickup, Pickup, Pickups, Positions};
use dsp_core::preset::{Crew, Instrument, Preset, Setup, Venue};
use dsp_core::units::{Load, Pitch, UnitError};
use firstjack_words::{Words, visible};

use crate::arguments::{SourceArguments, StringsArguments};
use crate::error::Failure;
use crate::name::Name;

/// What a command works on.
pub struct Source {
    pub pickups: Pickups,
    /// What the take was recorded through, if a file said so.
    pub recorded: Option<(Chain, Positions)>,
    pub setups: Vec<NamedChain>,
    /// The venues of which the crew has to know something, if a file has any.
    pub venues: Vec<Venue>,
    /// What the file of setups is called on screen.
    pub title: Option<String>,
    /// From the file of setups.
    pub instrument: Option<String>,
}

/// A chain, what to call it, and how a sentence points at it.
pub struct NamedChain {
    pub name: Name,
    /// "through the tuner", "into 470 kΩ".
    pub place: String,
    /// The venue that offers it; `None` if every one does.
    pub venue: Option<Name>,
    pub chain: Chain,
    pub positions: Positions,
}

/// The strings to look at.
pub struct Strings {
    /// Empty for a tuning of one's own.
    pub instrument_id: String,
    pub instrument_name: String,
    pub pitches: Vec<Pitch>,
    pub lowest: Pitch,
    pub a4_hz: f64,
}

/// Reads one value of an option.
fn value<T: std::str::FromStr<Err = UnitError>>(option: &'static str, text: &str) -> Result<T, Failure> {
    text.parse().map_err(|error| Failure::Value { option, error })
}

impl Source {
    /// # Panics
    /// Never: without a file of setups the arguments need a pickup or a coil.
    pub fn new(arguments: &SourceArguments) -> Result<Self, Failure> {
        let pickup = pickup(arguments)?;
        if let Some(path) = &arguments.setups {
            let mut source = Self::from_preset(read_preset(path)?);
            if let Some(pickup) = pickup {
                source.pickups = pickup.into();
                source.check_losses()?;
            }
            if let Some(venue) = &arguments.heard.venue {
                source.keep_venue(venue)?;
            }
            source.keep_setups(&arguments.heard.setup)?;
            return Ok(source);
        }
        let pickup = pickup.ok_or_else(|| Failure::Usage("give --pickup, --coil or --setups".to_owned()))?;
        let pickups = pickup.into();
        Ok(Self {
            pickups,
            recorded: None,
            setups: arguments
                .heard
                .load
                .iter()
                .map(|load| from_load(load, &pickups))
                .collect::<Result<_, _>>()?,
            venues: Vec::new(),
            title: None,
            instrument: None,
        })
    }

    /// Whether the circuits of a file can be with a pickup that is not the file's.
    fn check_losses(&self) -> Result<(), Failure> {
        let checked = |chain: &Chain, at: Positions, place: String| {
            self.pickups
                .with_positions(at)
                .check_losses(chain)
                .map_err(|error| Failure::Lossless { place, error })
        };
        self.recorded.iter().try_for_each(|(chain, at)| checked(chain, *at, "recorded".to_owned()))?;
        self.setups
            .iter()
            .try_for_each(|setup| checked(&setup.chain, setup.positions, format!("setup '{}'", setup.name)))
    }

    /// What a file of setups says.
    pub fn from_preset(preset: Preset) -> Self {
        let named = |Setup { name, venue, chain, positions }: Setup| NamedChain {
            place: Words::ENGLISH.through(&name),
            name: name.into(),
            venue: venue.map(Name::from),
            chain,
            positions,
        };
        Self {
            pickups: preset.pickups,
            recorded: Some((preset.recorded, preset.recorded_at)),
            setups: preset.setups.into_iter().map(named).collect(),
            venues: preset.venues,
            title: Some(visible(&preset.name).into_owned()),
            instrument: preset.instrument,
        }
    }

    /// Keeps the setups of these names, in the file's order; all if there are none.
    pub fn keep_setups(&mut self, names: &[String]) -> Result<(), Failure> {
        let kept = names.iter().map(|name| find_setup(&self.setups, name)).collect::<Result<Vec<_>, _>>()?;
        let mut index = 0..;
        self.setups.retain(|_| names.is_empty() || index.next().is_some_and(|index| kept.contains(&index)));
        Ok(())
    }

    /// Keeps the setups that a venue offers: its own, and those that every one does.
    pub fn keep_venue(&mut self, venue: &str) -> Result<(), Failure> {
        let mut known: Vec<&str> = Vec::new();
        let of_setups = self.setups.iter().filter_map(|setup| setup.venue.as_deref());
        for name in of_setups.chain(self.venues.iter().map(|venue| venue.name.as_str())) {
            if !known.contains(&name) {
                known.push(name);
            }
        }
        let is_venue = |name: &Option<Name>| name.as_ref().is_none_or(|name| name.is(venue));
        let has_table = self.venues.iter().any(|known| known.name == venue);
        if !has_table && !self.setups.iter().any(|setup| setup.venue.is_some() && is_venue(&setup.venue)) {
            let accepted = if known.is_empty() {
                "no setup of the file names a venue".to_owned()
            } else {
                format!("accepted are {}", known.join(", "))
            };
            return Err(Failure::Usage(format!("--venue: '{venue}' is not known: {accepted}")));
        }
        self.setups.retain(|setup| is_venue(&setup.venue));
        if self.setups.is_empty() {
            return Err(Failure::Usage(format!(
                "--venue: '{venue}' has no setup, nor is there one of every venue"
            )));
        }
        Ok(())
    }

    /// What a venue's crew has to know, as far as the file says; without a venue that of the only one there is.
    pub fn crew(&self, venue: Option<&str>) -> Option<&Crew> {
        let found = match (venue, self.venues.as_slice()) {
            (Some(name), venues) => venues.iter().find(|venue| Name::from(venue.name.as_str()).is(name)),
            (None, [only]) => Some(only),
            (None, _) => None,
        };
        found.map(|venue| &venue.crew)
    }
}

/// Which setup `--setup` names, counted from zero.
pub fn find_setup(setups: &[NamedChain], name: &str) -> Result<usize, Failure> {
    setups.iter().position(|setup| setup.name.is(name)).ok_or_else(|| {
        let names: Vec<&str> = setups.iter().map(|setup| &*setup.name).collect();
        Failure::Usage(format!("--setup: '{name}' is not known: accepted are {}", names.join(", ")))
    })
}

/// A load that was typed, for these pickups.
pub fn load(option: &'static str, text: &str, pickups: &Pickups) -> Result<Load, Failure> {
    let load = value(option, text)?;
    pickups
        .check_losses(&Chain::from(&load))
        .map_err(|error| Failure::Lossless { place: option.to_owned(), error })?;
    Ok(load)
}

fn from_load(text: &str, pickups: &Pickups) -> Result<NamedChain, Failure> {
    let load = load("--load", text, pickups)?;
    Ok(NamedChain {
        name: load.to_string().into(),
        place: Words::ENGLISH.into_load(&load),
        venue: None,
        chain: Chain::from(&load),
        positions: Positions::default(),
    })
}

/// The pickup that the options describe, a capacitance or a coil, if they do.
fn pickup(arguments: &SourceArguments) -> Result<Option<Pickup>, Failure> {
    let element = if let Some(capacitance) = &arguments.pickup {
        let leakage = optional("--leakage", arguments.leakage.as_deref())?;
        Element::Capacitive(CapacitivePickup { capacitance: value("--pickup", capacitance)?, leakage })
    } else if let (Some(inductance), Some(resistance)) = (&arguments.coil, &arguments.coil_resistance) {
        Element::Magnetic(MagneticPickup {
            inductance: value("--coil", inductance)?,
            resistance: value("--coil-resistance", resistance)?,
            winding: optional("--winding", arguments.winding.as_deref())?,
            loss: optional("--coil-loss", arguments.coil_loss.as_deref())?,
        })
    } else {
        return Ok(None);
    };
    Ok(Some(Pickup::of(element)))
}

fn optional<T: std::str::FromStr<Err = UnitError>>(
    option: &'static str,
    text: Option<&str>,
) -> Result<Option<T>, Failure> {
    text.map(|text| value(option, text)).transpose()
}

/// Reads a file of setups.
pub fn read_preset(path: &Path) -> Result<Preset, Failure> {
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
            instrument_id: instrument.id,
            instrument_name: instrument.name,
            pitches: instrument.strings,
            lowest,
            a4_hz: arguments.a4,
        })
    }

    pub fn lowest_hz(&self) -> f64 {
        self.lowest.hz(self.a4_hz)
    }

    /// Each string and its frequency in Hz, from low to high.
    pub fn marks(&self) -> Vec<(&Pitch, f64)> {
        let mut marks: Vec<(&Pitch, f64)> =
            self.pitches.iter().map(|pitch| (pitch, pitch.hz(self.a4_hz))).collect();
        marks.sort_by(|(_, a), (_, b)| a.total_cmp(b));
        marks
    }
}

fn find(id: &str) -> Result<Instrument, String> {
    let all = Instrument::all();
    let known: Vec<&str> = all.iter().map(|instrument| instrument.id.as_str()).collect();
    let (known, lower) = (known.join(", "), id.to_lowercase());
    all.into_iter()
        .find(|instrument| {
            [&instrument.id, &instrument.name].iter().any(|known| known.to_lowercase() == lower)
        })
        .ok_or_else(|| format!("instrument '{id}' is not known: accepted are {known} (or --strings)"))
}
