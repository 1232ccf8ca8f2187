//! What values and parts are called.

use dsp_core::circuit::Link;
use firstjack_words::visible;

use super::edits::{Control, Field, LinkPart, PickupPart};
use super::links::{Kind, link};
use super::{Document, setups};

/// What a value is called, and what is written behind it.
pub const fn name(field: &Field) -> (&'static str, &'static str) {
    match field {
        Field::Pickup(_, part) => match part {
            PickupPart::Capacitance => ("source capacitance", ""),
            PickupPart::Leakage => ("leakage", ""),
            PickupPart::Inductance => ("inductance", ""),
            PickupPart::Resistance => ("coil resistance", ""),
            PickupPart::Winding => ("winding capacitance", ""),
            PickupPart::Loss => ("loss of core and cover", ""),
            PickupPart::ToneResistance => ("tone control", ""),
            PickupPart::ToneCapacitance => ("tone capacitor", ""),
            PickupPart::VolumeResistance => ("volume pot", ""),
            PickupPart::Mixing => ("mixing resistor", ""),
        },
        Field::Position(_, _, Control::Volume) => ("volume position", ""),
        Field::Position(_, _, Control::Tone) => ("tone position", ""),
        Field::Link(_, part) => match part {
            LinkPart::Length => ("length", ""),
            LinkPart::PerMetre => ("capacitance per metre", "/m"),
            LinkPart::Leakage => ("leakage", ""),
            LinkPart::Input => ("input", ""),
            LinkPart::Capacitance => ("capacitance across the jack", ""),
            LinkPart::Blocking => ("blocking capacitor", ""),
            LinkPart::Primary => ("primary inductance", ""),
            LinkPart::Winding => ("primary winding", ""),
            LinkPart::Ratio => ("turns ratio", " : 1"),
            LinkPart::Secondary => ("secondary load", ""),
            LinkPart::OwnCapacitance => ("own capacitance", ""),
            LinkPart::Core => ("loss of the core", ""),
            LinkPart::Resistor => ("resistor in each leg", ""),
            LinkPart::Bare => ("value", ""),
        },
    }
}

/// What an optional part is called.
pub const fn part_name(field: &Field) -> &'static str {
    name(field).0
}

/// What a value is called among all others: "input of the tuner".
pub fn of_value(document: &Document, field: &Field) -> String {
    let name = part_name(field);
    match field {
        Field::Pickup(..) => name.to_owned(),
        Field::Position(place, ..) => match place.setup() {
            Some(index) => format!("{name} of {}", setups::name(document, index)),
            None => format!("{name} of the recording"),
        },
        Field::Link(spot, _) => match link(document, spot) {
            Some(link) => format!("{name} of {}", of_link(link)),
            None => name.to_owned(),
        },
    }
}

/// What a link is called.
pub fn of_link(link: &Link) -> String {
    match link {
        Link::Cable(_) => "the cable".to_owned(),
        Link::Resistance(_) | Link::Capacitance(_) | Link::Inductance(_) => "the load".to_owned(),
        Link::Box(_) | Link::Splitter(_) => {
            link.name().map_or_else(String::new, |name| visible(name).into_owned())
        }
    }
}

/// What a kind of link is called.
pub const fn of_kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Cable => "cable",
        Kind::Box => "box",
        Kind::Amplifier => "amplifier with a blocking capacitor",
        Kind::PassiveBox => "passive box with a transformer",
        Kind::Splitter => "splitter",
    }
}
