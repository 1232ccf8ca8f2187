//! The files as they are written, table by table. A new field is one line here, with the version that it comes with.

use serde::{Deserialize, Deserializer, de::Error as _};

use super::fields::{Given, Table, Value, table};
use super::{LinePolarity, Phantom};
use crate::circuit::{Polarity, Taper, Thru};
use crate::units::{Capacitance, Inductance, Length, Load, Percent, Ratio, Resistance};

table!(PresetText {
    "version" version: i64, since 1;
    "name" name: String, since 1;
    "instrument" instrument: Option<String>, since 1;
    "pickup" pickup: Option<PickupText>, since 1;
    "recorded" recorded: RecordedText, since 1;
    "blend" blend: Option<Vec<PickupText>>, since 2;
    "venue" venues: Option<Vec<VenueText>>, since 5;
    "setup" setups: Option<Vec<SetupText>>, since 1;
});

table!(
    /// A venue, and what a note for its crew is filled in with.
    VenueText {
        "name" name: String, since 5;
        "phantom" phantom: Option<Phantom>, since 5;
        "pad" pad: Option<String>, since 5;
        "polarity" polarity: Option<LinePolarity>, since 5;
        "line" line: Option<String>, since 5;
        "feed" feed: Option<String>, since 5;
        "contact" contact: Option<String>, since 5;
        "remarks" remarks: Option<String>, since 5;
    }
);

/// Kinds of pickup.
pub(super) const CAPACITIVE: u8 = 1;
pub(super) const MAGNETIC: u8 = 2;
/// One of two.
pub(super) const BLENDED: u8 = 4;

table!(
    /// A pickup, alone or in a blend.
    PickupText {
        "capacitance" capacitance: Option<Capacitance>, since 1, of CAPACITIVE;
        "leakage" leakage: Option<Resistance>, since 1, of CAPACITIVE;
        "inductance" inductance: Option<Inductance>, since 2, of MAGNETIC;
        "resistance" resistance: Option<Resistance>, since 2, of MAGNETIC;
        "winding" winding: Option<Capacitance>, since 2, of MAGNETIC;
        "loss" loss: Option<Resistance>, since 4, of MAGNETIC;
        "tone" tone: Option<ToneText>, since 2;
        "volume" volume: Option<VolumeText>, since 2;
        "mixing" mixing: Option<Resistance>, since 2, of BLENDED;
        "polarity" polarity: Option<Polarity>, since 2, of BLENDED;
    }
);

table!(VolumeText {
    "resistance" resistance: Resistance, since 2;
    "taper" taper: Option<Taper>, since 2;
    "position" position: Option<Percent>, since 2;
});

table!(ToneText {
    "resistance" resistance: Resistance, since 2;
    "capacitance" capacitance: Capacitance, since 2;
    "taper" taper: Option<Taper>, since 2;
    "position" position: Option<Percent>, since 2;
});

table!(SetupText {
    "name" name: String, since 1;
    "venue" venue: Option<String>, since 3;
    "volume" volume: Option<Percent>, since 2;
    "tone" tone: Option<Percent>, since 2;
    "load" load: Option<LoadText>, since 1;
    "chain" chain: Option<Vec<LinkText>>, since 1;
});

table!(
    /// What a take was recorded through.
    RecordedText {
        "volume" volume: Option<Percent>, since 2;
        "tone" tone: Option<Percent>, since 2;
        "load" load: Option<LoadText>, since 1;
        "chain" chain: Option<Vec<LinkText>>, since 1;
    }
);

#[derive(Debug, Clone)]
pub(super) struct LoadText(pub Load);

impl<'de> Deserialize<'de> for LoadText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map(Self).map_err(D::Error::custom)
    }
}

/// Kinds of link.
pub(super) const CABLE: u8 = 1;
pub(super) const BOX: u8 = 2;
pub(super) const SPLITTER: u8 = 4;

table!(
    /// One link of a chain.
    LinkText {
        "cable" cable: Option<Length>, since 1, of CABLE;
        "per_metre" per_metre: Option<Capacitance>, since 1, of CABLE;
        "leakage" leakage: Option<Resistance>, since 2, of CABLE;
        "box" name: Option<String>, since 1, of BOX;
        "input" input: Option<Resistance>, since 1, of BOX;
        "transformer" transformer: Option<TransformerText>, since 2, of BOX;
        "capacitance" capacitance: Option<Capacitance>, since 1, of BOX;
        "blocking" blocking: Option<Capacitance>, since 2, of BOX;
        "thru" thru: Option<Thru>, since 1, of BOX;
        "splitter" splitter: Option<String>, since 2, of SPLITTER;
        "resistor" resistor: Option<Resistance>, since 2, of SPLITTER;
        "branch" branch: Option<Vec<LinkText>>, since 2, of SPLITTER;
    }
);

table!(TransformerText {
    "primary" primary: Inductance, since 2;
    "winding" winding: Option<Resistance>, since 2;
    "ratio" ratio: Ratio, since 2;
    "secondary" secondary: Resistance, since 2;
    "capacitance" capacitance: Option<Capacitance>, since 2;
    "core" core: Option<Resistance>, since 4;
});
