//! What a part begins with when it is added, and what a double-click brings back: values of the E series of IEC 60063, our choice.

use dsp_core::circuit::{CapacitivePickup, Link, MagneticPickup, Transformer};
use dsp_core::units::UnitError;

use crate::editor::Document;
use crate::editor::document::edits::{Field, LinkPart, PickupPart};
use crate::editor::document::links::link;

/// As it would be typed; nothing where typing nothing brings a default back.
pub fn usual(document: &Document, field: &Field) -> &'static str {
    match field {
        Field::Pickup(_, part) => of_pickup(*part),
        // The pickup's own position.
        Field::Position(..) => "",
        Field::Link(spot, LinkPart::Bare) => match link(document, spot) {
            Some(Link::Resistance(_)) => "1M",
            Some(Link::Capacitance(_)) => "100p",
            Some(Link::Inductance(_)) => "47 H",
            _ => "",
        },
        Field::Link(_, part) => of_link(*part),
    }
}

const fn of_pickup(part: PickupPart) -> &'static str {
    match part {
        PickupPart::Capacitance => "680p",
        PickupPart::Leakage => "1G",
        PickupPart::Inductance => "4.7 H",
        PickupPart::Resistance => "6k8",
        PickupPart::Winding => "100p",
        PickupPart::Loss => "470k",
        PickupPart::Mixing => "100k",
        PickupPart::ToneResistance => "220k",
        PickupPart::ToneCapacitance => "22n",
        PickupPart::VolumeResistance => "470k",
    }
}

const fn of_link(part: LinkPart) -> &'static str {
    match part {
        LinkPart::Length => "3 m",
        LinkPart::PerMetre | LinkPart::Bare => "",
        LinkPart::Leakage => "22M",
        LinkPart::Input => "1M",
        LinkPart::Capacitance => "100p",
        LinkPart::Blocking => "22n",
        LinkPart::Primary => "47 H",
        LinkPart::Winding | LinkPart::Secondary => "1k5",
        LinkPart::Ratio => "12",
        LinkPart::OwnCapacitance => "330p",
        LinkPart::Core => "470k",
        LinkPart::Resistor => "10k",
    }
}

/// A capacitive pickup.
pub(crate) fn capacitive() -> Result<CapacitivePickup, UnitError> {
    Ok(CapacitivePickup { capacitance: of_pickup(PickupPart::Capacitance).parse()?, leakage: None })
}

/// A magnetic pickup.
pub(crate) fn magnetic() -> Result<MagneticPickup, UnitError> {
    Ok(MagneticPickup {
        inductance: of_pickup(PickupPart::Inductance).parse()?,
        resistance: of_pickup(PickupPart::Resistance).parse()?,
        winding: Some(of_pickup(PickupPart::Winding).parse()?),
        loss: Some(of_pickup(PickupPart::Loss).parse()?),
    })
}

/// The transformer of a passive box.
pub(crate) fn transformer() -> Result<Transformer, UnitError> {
    Ok(Transformer {
        primary: of_link(LinkPart::Primary).parse()?,
        winding: Some(of_link(LinkPart::Winding).parse()?),
        ratio: of_link(LinkPart::Ratio).parse()?,
        secondary: of_link(LinkPart::Secondary).parse()?,
        capacitance: Some(of_link(LinkPart::OwnCapacitance).parse()?),
        core: None,
    })
}
