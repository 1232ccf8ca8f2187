//! The file as it is written.

use serde::Deserialize;

use super::{Date, Kit, Method};
use crate::preset::check::Form;
use crate::preset::fields::{ANY, Field, Kind, Layout, Shape, Text, Value, table};
use crate::preset::text::{BLENDED, BOX, LinkText, PICKUPS, PickupText};
use crate::units::{FullScale, Resistance};

/// A kit. Its values may be all that is known here, whatever version of a file of setups they came with.
pub(super) const KIT: Form = Form { layout: KitText::layout, latest: Kit::VERSION, counts: false };

table!(KitText, "kit", FILE, {
    /// The version of the format: 1
    "version" version: Version, since 1;
    /// A pickup: one [[pickup]] table for each
    "pickup" pickups: Option<Vec<PickupEntry>>, since 1;
    /// A box, anything with an instrument jack: one [[box]] table for each
    "box" boxes: Option<Vec<BoxEntry>>, since 1;
});

const FILE: &[Kind] = &[Kind { name: "a kit", bit: ANY, needs: &[], either: &[] }];

table!(
    /// What an entry has besides its values.
    OriginText, "origin", FILE, {
        /// What you call it: a name of its own, which stands for its values where they are typed
        "name" name: String, since 1;
        /// The day on which it was measured; nothing is written for printed values
        "measured" measured: Option<Date>, since 1;
        /// How: sweep, toggle, rub, meter or printed
        "method" method: Option<Method>, since 1;
        /// Whatever else there is to say
        "remarks" remarks: Option<String>, since 1;
    }
);

table!(
    /// What an audio interface has besides, as a box of a kit.
    LevelsText, "levels", FILE, {
        /// Of an audio interface: what 0 dBFS is at the input that records, in dBu, or as it was measured with a sine and a voltmeter
        "in_dbu_at_full_scale" recorded: Option<FullScale>, since 1;
        /// Of an audio interface: what 0 dBFS is at the output that plays, or behind the isolating box that it feeds
        "out_dbu_at_full_scale" played: Option<FullScale>, since 1;
        /// Of an audio interface: the resistance of that output or box
        "output_resistance" resistance: Option<Resistance>, since 1;
    }
);

/// The format's version.
#[derive(Debug, Clone, Copy, Deserialize)]
pub(crate) struct Version(#[expect(dead_code, reason = "looked at before the rest is read")] i64);

impl Value for Version {
    fn shape() -> Shape {
        Shape::Version(Kit::VERSION)
    }
}

impl Value for Date {
    fn shape() -> Shape {
        Shape::Text(Text {
            example: "2026-11-27",
            read: |text| Ok(text.parse::<Self>().map(|_| None)?),
            asks: None,
            is_named: false,
        })
    }
}

impl Value for FullScale {
    fn shape() -> Shape {
        Shape::Text(Text {
            example: "18 dBu",
            read: |text| Ok(text.parse::<Self>().map(|_| None)?),
            asks: None,
            is_named: false,
        })
    }
}

impl Value for Method {
    fn shape() -> Shape {
        Shape::OneOf(&[("sweep", 1), ("toggle", 1), ("rub", 1), ("meter", 1), ("printed", 1)])
    }
}

/// An entry's table, of which the values are those of a pickup in a file of setups.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub(crate) struct PickupEntry(pub toml::Table);

/// Those of a box in a chain.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub(crate) struct BoxEntry(pub toml::Table);

impl Value for PickupEntry {
    fn shape() -> Shape {
        Shape::Table(|| {
            let values = PickupText::layout().fields.into_iter().filter(|field| field.of != BLENDED);
            Layout { name: "kit pickup", fields: fields(values), kinds: PICKUPS, also: 0 }
        })
    }
}

impl Value for BoxEntry {
    fn shape() -> Shape {
        Shape::Table(|| {
            // It has a name in place of the field `box`.
            let is_value = |field: &Field| field.of == BOX && field.name != "box";
            let values = LinkText::layout().fields.into_iter().filter(is_value);
            let values = values.chain(LevelsText::layout().fields);
            Layout { name: "kit box", fields: fields(values), kinds: BOXES, also: 0 }
        })
    }
}

const BOXES: &[Kind] = &[Kind { name: "a box", bit: BOX, needs: &[], either: &["input", "transformer"] }];

fn fields(values: impl Iterator<Item = Field>) -> Vec<Field> {
    let mut fields = OriginText::layout().fields;
    fields.splice(1..1, values);
    fields
}
