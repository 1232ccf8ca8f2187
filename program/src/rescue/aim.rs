use dsp_core::circuit::{Chain, Pickups, Positions};
use dsp_core::kit::TypedLoad;
use dsp_core::response::{Between, Response};
use firstjack_words::Words;
use serde::Serialize;

use crate::arguments::RescueArguments;
use crate::error::Failure;
use crate::source::{NamedChain, Source, load};

/// What a magnetic instrument is usually plugged into, by a cable (common practice, no source).
const USUAL: &str = "1M || 6 m";

/// What a setup is to sound like; the JSON's fields.
#[derive(Debug, Serialize)]
pub struct Aim {
    pub kind: AimKind,
    /// What the pickup is plugged into, where that is a load.
    pub load: Option<String>,
    #[serde(skip)]
    circuit: (Chain, Positions),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AimKind {
    /// Through what the take was recorded through.
    AsRecorded,
    /// Into a load of the person's.
    Chosen,
    /// Into the usual amplifier, which is how the player of a coil knows it: without one it rings as nobody hears it.
    Usual,
    Unloaded,
}

impl Aim {
    /// What was asked for; or else the take as recorded, if that was said; or else what the player knows.
    pub fn new(arguments: &RescueArguments, source: &Source) -> Result<Self, Failure> {
        let pickups = &source.pickups;
        if let Some(text) = &arguments.aim {
            return Ok(Self::into_load(AimKind::Chosen, &load("--aim", text, pickups, &source.kit)?));
        }
        if let Some(text) = &arguments.through {
            let load = load("--recorded-through", text, pickups, &source.kit)?;
            return Ok(Self::into_load(AimKind::AsRecorded, &load));
        }
        if let Some(circuit) = &source.recorded {
            return Ok(Self { kind: AimKind::AsRecorded, load: None, circuit: circuit.clone() });
        }
        if Response::recorded(pickups, &Chain::default()).is_magnetic() {
            return Ok(Self::into_load(AimKind::Usual, &load("--aim", USUAL, pickups, &source.kit)?));
        }
        Ok(Self::into_load(AimKind::Unloaded, &load("--aim", "none", pickups, &source.kit)?))
    }

    /// With all controls open.
    fn into_load(kind: AimKind, load: &TypedLoad) -> Self {
        let kind = if load.is_empty() { AimKind::Unloaded } else { kind };
        let typed = (!load.is_empty()).then(|| load.to_string());
        Self { kind, load: typed, circuit: (load.chain.clone(), Positions::default()) }
    }

    /// What a setup is to sound like, and what it sounds like.
    pub fn between(&self, pickups: Pickups, setup: &NamedChain) -> Between {
        Between { pickups, recorded: self.circuit.clone(), heard: (setup.chain.clone(), setup.positions) }
    }

    /// As a sentence.
    pub fn sentence(&self, words: &Words) -> String {
        let id = match (self.kind, &self.load) {
            (AimKind::AsRecorded, None) => "rescue.aim_recorded",
            (AimKind::AsRecorded, Some(_)) => "rescue.aim_recorded_through",
            (AimKind::Chosen, _) => "rescue.aim_chosen",
            (AimKind::Usual, _) => "rescue.aim_usual",
            (AimKind::Unloaded, _) => "rescue.aim_unloaded",
        };
        let load = self.load.as_ref().map(|load| words.figure(load)).unwrap_or_default();
        words.say(id, &[("load", &load)])
    }
}
