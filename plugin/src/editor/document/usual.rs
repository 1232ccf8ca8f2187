//! What a part begins with when it is added, and what a reset brings back.

use dsp_core::circuit::{CapacitivePickup, Link, MagneticPickup, Transformer};
use dsp_core::units::UnitError;

use crate::editor::Document;
use crate::editor::document::edits::{Field, LinkPart, PickupPart};
use crate::editor::document::links::link;
use crate::editor::document::quantities::Part;

/// As it would be typed; nothing where typing nothing brings a default back.
pub fn usual(document: &Document, field: &Field) -> &'static str {
    match field {
        Field::Link(spot, LinkPart::Bare) => match link(document, spot) {
            Some(Link::Resistance(_)) => of_link(LinkPart::Input),
            Some(Link::Capacitance(_)) => of_link(LinkPart::Capacitance),
            Some(Link::Inductance(_)) => of_link(LinkPart::Primary),
            _ => "",
        },
        field => field.quantity().usual,
    }
}

const fn of_pickup(part: PickupPart) -> &'static str {
    Part::Pickup(part).quantity().usual
}

const fn of_link(part: LinkPart) -> &'static str {
    Part::Link(part).quantity().usual
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
