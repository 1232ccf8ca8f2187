//! What values and parts are called.

use dsp_core::circuit::Link;
use firstjack_words::visible;

use super::edits::Field;
use super::links::{Kind, link};
use super::{Document, setups};

/// What a value is called among all others: "input of the tuner".
pub fn of_value(document: &Document, field: &Field) -> String {
    let name = field.quantity().name;
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
