//! The files as they are written, field by field. Version 3; earlier versions have fewer fields.

use serde::{Deserialize, Deserializer, de::Error as _};

use crate::circuit::{Polarity, Taper, Thru};
use crate::units::{Capacitance, Inductance, Length, Load, Percent, Ratio, Resistance};

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PresetText {
    pub version: i64,
    pub name: String,
    pub instrument: Option<String>,
    pub pickup: Option<PickupText>,
    pub recorded: ChainText,
    pub blend: Option<Vec<BlendedText>>,
    #[serde(default, rename = "setup")]
    pub setups: Vec<SetupText>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PickupText {
    pub capacitance: Option<Capacitance>,
    pub leakage: Option<Resistance>,
    pub inductance: Option<Inductance>,
    pub resistance: Option<Resistance>,
    pub winding: Option<Capacitance>,
    pub tone: Option<ToneText>,
    pub volume: Option<VolumeText>,
}

/// A pickup of a blend: the fields of [`PickupText`], and how it is joined.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BlendedText {
    pub capacitance: Option<Capacitance>,
    pub leakage: Option<Resistance>,
    pub inductance: Option<Inductance>,
    pub resistance: Option<Resistance>,
    pub winding: Option<Capacitance>,
    pub mixing: Option<Resistance>,
    pub polarity: Option<Polarity>,
    pub tone: Option<ToneText>,
    pub volume: Option<VolumeText>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct VolumeText {
    pub resistance: Resistance,
    pub taper: Option<Taper>,
    pub position: Option<Percent>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ToneText {
    pub resistance: Resistance,
    pub capacitance: Capacitance,
    pub taper: Option<Taper>,
    pub position: Option<Percent>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SetupText {
    pub name: String,
    pub venue: Option<String>,
    pub volume: Option<Percent>,
    pub tone: Option<Percent>,
    pub load: Option<LoadText>,
    pub chain: Option<Vec<LinkText>>,
}

/// What a take was recorded through.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChainText {
    pub volume: Option<Percent>,
    pub tone: Option<Percent>,
    pub load: Option<LoadText>,
    pub chain: Option<Vec<LinkText>>,
}

#[derive(Debug, Clone)]
pub(super) struct LoadText(pub Load);

impl<'de> Deserialize<'de> for LoadText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map(Self).map_err(D::Error::custom)
    }
}

/// One link: the fields of a cable, a box or a splitter.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LinkText {
    pub cable: Option<Length>,
    pub per_metre: Option<Capacitance>,
    pub leakage: Option<Resistance>,
    #[serde(rename = "box")]
    pub name: Option<String>,
    pub input: Option<Resistance>,
    pub transformer: Option<TransformerText>,
    pub capacitance: Option<Capacitance>,
    pub blocking: Option<Capacitance>,
    pub thru: Option<Thru>,
    pub splitter: Option<String>,
    pub resistor: Option<Resistance>,
    pub branch: Option<Vec<LinkText>>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TransformerText {
    pub primary: Inductance,
    pub winding: Option<Resistance>,
    pub ratio: Ratio,
    pub secondary: Resistance,
    pub capacitance: Option<Capacitance>,
}
