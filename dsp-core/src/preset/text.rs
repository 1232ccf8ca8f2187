//! The files as they are written, table by table. A new field is one line here, with what it says and the version that it comes with.

use serde::de::value::MapAccessDeserializer;
use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer};

use super::fields::{ANY, Given, Kind, Layout, PLAIN, Shape, Text, Value, table};
use super::names::is_same_name;
use super::{LinePolarity, Phantom, PickupKind};
use crate::circuit::{Link, LinkError, Polarity, Taper, Thru, ToneControl, Transformer, VolumePot};
use crate::units::{
    Capacitance, Inductance, Length, Load, NominalInput, Percent, Problem, Ratio, Resistance, UnitError,
};

table!(PresetText, "file", FILE, {
    /// The version of the format: 5 in a new file
    "version" version: i64, since 1;
    /// What the file is called on screens and pages
    "name" name: String, since 1;
    /// Whose strings are looked at: an id of `firstjack list`; a double bass without it
    "instrument" instrument: Option<String>, since 1;
    /// The pickup: a table, or a text: its capacitance, or a kind of `firstjack list`, such as "bridge", with its usual range, or its name in your kit
    "pickup" pickup: Option<OrText<PickupText>>, since 1;
    /// What the take was recorded through: a load as a text, or a table; only needed where sound is made
    "recorded" recorded: Option<OrText<RecordedText>>, since 1;
    /// Two pickups that share a jack, one [[blend]] table for each, in place of `pickup`
    "blend" blend: Option<Vec<BlendedText>>, since 2;
    /// The venues: one [[venue]] table for each of which the crew has to know something
    "venue" venues: Option<Vec<VenueText>>, since 5;
    /// What the pickup may be plugged into: one [[setup]] table for each way, at least one
    "setup" setups: Option<Vec<SetupText>>, since 1;
});

const FILE: &[Kind] =
    &[Kind { name: "a file of setups", bit: ANY, needs: &["setup"], either: &["pickup", "blend"] }];

table!(
    /// A venue, and what a note for its crew is filled in with.
    VenueText, "venue", PLAIN, {
        /// What its setups call it
        "name" name: String, since 5;
        /// Whether the line has phantom power
        "phantom" phantom: Option<Phantom>, since 5;
        /// The pad on the line, as the crew writes it: -20 dB
        "pad" pad: Option<String>, since 5;
        /// The polarity of the line
        "polarity" polarity: Option<LinePolarity>, since 5;
        /// The line of the stage box
        "line" line: Option<String>, since 5;
        /// What feeds front of house: a setup or a box in it by its name, or anything else, such as a microphone
        "feed" feed: Option<String>, since 5;
        /// Whom to ask
        "contact" contact: Option<String>, since 5;
        /// Whatever else there is to say
        "remarks" remarks: Option<String>, since 5;
    }
);

/// Kinds of pickup.
const CAPACITIVE: u8 = 1;
const MAGNETIC: u8 = 2;
/// One of two.
pub(crate) const BLENDED: u8 = 4;

pub(crate) const PICKUPS: &[Kind] = &[
    Kind { name: "a piezo pickup", bit: CAPACITIVE, needs: &["capacitance"], either: &[] },
    Kind { name: "a magnetic pickup", bit: MAGNETIC, needs: &["inductance", "resistance"], either: &[] },
];

table!(
    /// A pickup, alone or in a blend.
    PickupText, "pickup", PICKUPS, {
        /// A piezo pickup's own capacitance
        "capacitance" capacitance: Option<Capacitance>, since 1, of CAPACITIVE;
        /// A resistance across a piezo pickup, if it has one
        "leakage" leakage: Option<Resistance>, since 1, of CAPACITIVE;
        /// A magnetic pickup's inductance
        "inductance" inductance: Option<Inductance>, since 2, of MAGNETIC;
        /// The resistance of its coil, as a meter reads it
        "resistance" resistance: Option<Resistance>, since 2, of MAGNETIC;
        /// The capacitance of its winding
        "winding" winding: Option<Capacitance>, since 2, of MAGNETIC;
        /// What core and cover lose, as a resistance across the inductance: 100k to 1M; decides how high the resonance is
        "loss" loss: Option<Resistance>, since 4, of MAGNETIC;
        /// The instrument's tone control: a table, or a text such as "500k 22n log at 7"
        "tone" tone: Option<OrText<ToneText>>, since 2;
        /// The instrument's volume control: a table, or a text such as "500k log at 7"
        "volume" volume: Option<OrText<VolumeText>>, since 2;
        /// In a blend: the resistor between this pickup and the common jack
        "mixing" mixing: Option<Resistance>, since 2, of BLENDED;
        /// In a blend: which way round this pickup is wired
        "polarity" polarity: Option<Polarity>, since 2, of BLENDED;
    }
);

table!(VolumeText, "volume", PLAIN, {
    /// The pot, from end to end
    "resistance" resistance: Resistance, since 2;
    /// How it follows its position; linear without it
    "taper" taper: Option<Taper>, since 2;
    /// How far it is turned up; fully without it
    "position" position: Option<Percent>, since 2;
});

table!(ToneText, "tone", PLAIN, {
    /// The pot, from end to end
    "resistance" resistance: Resistance, since 2;
    /// The capacitor behind it
    "capacitance" capacitance: Capacitance, since 2;
    /// How it follows its position; linear without it
    "taper" taper: Option<Taper>, since 2;
    /// How far it is open; fully without it
    "position" position: Option<Percent>, since 2;
});

const SETUP: &[Kind] = &[Kind { name: "a setup", bit: ANY, needs: &["name"], either: &["load", "chain"] }];

table!(SetupText, "setup", SETUP, {
    /// What it is called: each setup has a name of its own
    "name" name: String, since 1;
    /// The venue that offers it; every one does without it
    "venue" venue: Option<String>, since 3;
    /// Where the instrument's volume control stands in this setup
    "volume" volume: Option<Percent>, since 2;
    /// Where the instrument's tone control stands in this setup
    "tone" tone: Option<Percent>, since 2;
    /// What the pickup sees, in parallel: inputs, boxes of your kit by their names, cable, capacitance, or none
    "load" load: Option<LoadText>, since 1;
    /// Cables and boxes in order, from the pickup on: each a table, or a text such as "6 m", "tuner 1M buffered" or, with a name of your kit, "our tuner buffered"
    "chain" chain: Option<Vec<OrText<LinkText>>>, since 1;
});

const RECORDED: &[Kind] =
    &[Kind { name: "what was recorded through", bit: ANY, needs: &[], either: &["load", "chain"] }];

table!(
    /// What a take was recorded through.
    RecordedText, "recorded", RECORDED, {
        /// Where the instrument's volume control stood
        "volume" volume: Option<Percent>, since 2;
        /// Where the instrument's tone control stood
        "tone" tone: Option<Percent>, since 2;
        /// What the pickup saw, in parallel; none if nothing loaded it
        "load" load: Option<LoadText>, since 1;
        /// Cables and boxes in order, from the pickup on: each a table, or a text such as "6 m" or "tuner 1M buffered"
        "chain" chain: Option<Vec<OrText<LinkText>>>, since 1;
    }
);

#[derive(Debug, Clone)]
pub(crate) struct LoadText(pub Load);

impl<'de> Deserialize<'de> for LoadText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map(Self).map_err(D::Error::custom)
    }
}

/// Kinds of link.
const CABLE: u8 = 1;
pub(crate) const BOX: u8 = 2;
const SPLITTER: u8 = 4;

const LINKS: &[Kind] = &[
    Kind { name: "a cable", bit: CABLE, needs: &["cable"], either: &[] },
    Kind { name: "a box", bit: BOX, needs: &["box"], either: &["input", "transformer"] },
    Kind { name: "a splitter", bit: SPLITTER, needs: &["splitter", "branch"], either: &[] },
];

table!(
    /// One link of a chain.
    LinkText, "link", LINKS, {
        /// A cable: its length
        "cable" cable: Option<Length>, since 1, of CABLE;
        /// The cable's capacitance a metre; 100 pF without it
        "per_metre" per_metre: Option<Capacitance>, since 1, of CABLE;
        /// The resistance of a damp or worn cable's insulation
        "leakage" leakage: Option<Resistance>, since 2, of CABLE;
        /// A box, anything with an instrument jack: what it is called
        "box" name: Option<String>, since 1, of BOX;
        /// Its input resistance
        "input" input: Option<Resistance>, since 1, of BOX;
        /// The transformer that a passive box's jack leads to, in place of `input`: a table, or "usual 140k" where only its nominal input is known
        "transformer" transformer: Option<OrText<TransformerText>>, since 2, of BOX;
        /// Its input capacitance
        "capacitance" capacitance: Option<Capacitance>, since 1, of BOX;
        /// A capacitor in series with its input
        "blocking" blocking: Option<Capacitance>, since 2, of BOX;
        /// Where its thru is taken, if something follows: before its buffer (what follows loads the pickup too), after it (the pickup does not see what follows), or active (a pedal that is on)
        "thru" thru: Option<Thru>, since 1, of BOX;
        /// A splitter: what it is called
        "splitter" splitter: Option<String>, since 2, of SPLITTER;
        /// The resistor in each of its outputs
        "resistor" resistor: Option<Resistance>, since 2, of SPLITTER;
        /// Cables and boxes on its other output, in order, as in a chain
        "branch" branch: Option<Vec<OrText<LinkText>>>, since 2, of SPLITTER;
    }
);

table!(TransformerText, "transformer", PLAIN, {
    /// Its primary inductance
    "primary" primary: Inductance, since 2;
    /// The resistance of its primary winding
    "winding" winding: Option<Resistance>, since 2;
    /// Turns of the primary to one of the secondary
    "ratio" ratio: Ratio, since 2;
    /// The resistance that its secondary is plugged into
    "secondary" secondary: Resistance, since 2;
    /// The capacitance across its primary
    "capacitance" capacitance: Option<Capacitance>, since 2;
    /// What its core loses, as a resistance across the primary
    "core" core: Option<Resistance>, since 4;
});

/// A pickup of two.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub(crate) struct BlendedText(pub PickupText);

impl Value for BlendedText {
    fn shape() -> Shape {
        Shape::Table(|| Layout { name: "blended", also: BLENDED, ..PickupText::layout() })
    }
}

/// A table, or a text that says as much.
#[derive(Debug, Clone)]
pub(crate) enum OrText<T: FromText> {
    Text(T::Said),
    Table(T),
}

/// What a text says in place of a table.
pub(crate) trait FromText {
    type Said: std::fmt::Debug + Clone;

    const TEXT: Text;

    fn layout() -> Layout;
    fn said(text: &str) -> Result<Self::Said, LinkError>;
}

macro_rules! from_text {
    ($($table:ident, $written:literal, $example:literal, $asks:expr, $is_named:literal, $said:ty: $read:expr;)*) => {
        $(impl FromText for $table {
            type Said = $said;

            const TEXT: Text = Text {
                example: $example,
                read: |text| Self::said(text).map(|_| Some(Given { name: $written, since: 5 })),
                asks: $asks,
                is_named: $is_named,
            };

            fn layout() -> Layout {
                Self::layout()
            }

            fn said(text: &str) -> Result<$said, LinkError> {
                $read(text)
            }
        })*
    };
}

from_text! {
    PickupText, "pickup = \"...\"", "680p", None, true, Capacitance: of_pickup;
    RecordedText, "recorded = \"...\"", "22M", Some(Load::typed), true, Load: |text: &str| Ok(text.parse()?);
    LinkText, "chain = [\"...\"]", "tuner 1M buffered", None, true, Link: |text: &str| text.parse();
    VolumeText, "volume = \"...\"", "500k log at 7", None, false, VolumePot: |text: &str| Ok(text.parse()?);
    ToneText, "tone = \"...\"", "500k 22n log at 7", None, false, ToneControl: |text: &str| Ok(text.parse()?);
    TransformerText, "transformer = \"...\"", "usual 140k", None, false, Transformer: usual;
}

/// A capacitance, or the usual range of a kind of pickup.
pub(crate) fn of_pickup(text: &str) -> Result<Capacitance, LinkError> {
    let kind = PickupKind::all()
        .into_iter()
        .find(|kind| is_same_name(&kind.word, text) || is_same_name(&kind.name, text));
    match (text.parse(), kind) {
        (Ok(capacitance), _) => Ok(capacitance),
        (Err(_), Some(kind)) => Ok(kind.range()),
        (Err(error), None) => Err(UnitError {
            accepted: "680p, 1n5, 470p to 4.7n, or a kind: bridge, saddle, disc, film",
            ..error
        }
        .into()),
    }
}

/// A transformer of which only the nominal input is known.
fn usual(text: &str) -> Result<Transformer, LinkError> {
    let nominal = text.trim().strip_prefix("usual ").ok_or_else(|| UnitError {
        read: text.to_owned(),
        quantity: "a transformer",
        problem: Problem::NoNumber,
        accepted: "usual and the nominal input, such as usual 140k, or { primary = ..., ratio = ..., secondary = ... }",
    })?;
    Ok(Transformer::usual(nominal.parse::<NominalInput>()?))
}

impl<T: FromText> Value for OrText<T> {
    fn shape() -> Shape {
        Shape::TextOrTable(T::TEXT, T::layout)
    }
}

impl<'de, T: FromText + Deserialize<'de>> Deserialize<'de> for OrText<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either<T>(std::marker::PhantomData<T>);

        impl<'de, T: FromText + Deserialize<'de>> Visitor<'de> for Either<T> {
            type Value = OrText<T>;

            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a text or a table")
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<OrText<T>, E> {
                T::said(text).map(OrText::Text).map_err(E::custom)
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<OrText<T>, A::Error> {
                T::deserialize(MapAccessDeserializer::new(map)).map(OrText::Table)
            }
        }

        deserializer.deserialize_any(Either(std::marker::PhantomData))
    }
}
