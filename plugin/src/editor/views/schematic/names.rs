//! What values are called.

use crate::editor::document::edits::{Control, Field, LinkPart, PickupPart};

/// What a value is called, and what is written behind it.
pub(super) const fn name(field: &Field) -> (&'static str, &'static str) {
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
pub(in crate::editor) const fn part_name(field: &Field) -> &'static str {
    name(field).0
}
