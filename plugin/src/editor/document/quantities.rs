//! The values of pickups, positions and links, one row each: what it is called, what is written behind it, what is usual, whether it may
//! be absent, and where it lies. What is typed, turned, named and offered comes from here.

use dsp_core::circuit::{
    Cable, CapacitivePickup, Element, Input, InputBox, Link, MagneticPickup, Pickup, Pickups, Positions,
    ToneControl, Transformer,
};
use dsp_core::units::Percent;

use super::edits::{Control, Field, LinkPart, PickupPart};
use super::slots::Slot;

/// Which value, whosever it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Of a pickup.
    Pickup(PickupPart),
    /// Of how far a control is turned up.
    Position(Control),
    /// Of a link.
    Link(LinkPart),
}

/// What it means that a value is not said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Absent {
    /// It has to be.
    Never,
    /// There is no such part.
    NoPart,
    /// A default counts.
    Default,
}

/// A row of the table.
pub struct Quantity {
    /// What it is called.
    pub name: &'static str,
    /// What is written behind it, which then says what it is.
    pub behind: &'static str,
    /// What it begins with and is reset to, of the E series of IEC 60063 and our choice; nothing where a default counts, or where it depends on the
    /// part.
    pub usual: &'static str,
    /// Whether it may be absent.
    pub absent: Absent,
    pub(super) lies: Lies,
}

type Found<'a> = Option<&'a mut dyn Slot>;

/// Where a value lies; nothing where there is no such part.
#[derive(Clone, Copy)]
pub(super) enum Lies {
    /// In one of the pickups.
    Pickup(fn(&mut Pickups, usize) -> Found<'_>),
    /// Among a chain's positions.
    Position(fn(&mut Positions) -> &mut Option<Percent>),
    /// In a link.
    Link(fn(&mut Link) -> Found<'_>),
}

macro_rules! quantities {
    ($($of:ident $part:path: $name:literal, $behind:literal, $usual:literal, $absent:ident, $lies:expr;)*) => {
        impl Part {
            /// All there are.
            pub const ALL: &[Self] = &[$(Self::$of($part)),*];

            /// Its row.
            pub const fn quantity(self) -> Quantity {
                match self {
                    $(Self::$of($part) => Quantity {
                        name: $name,
                        behind: $behind,
                        usual: $usual,
                        absent: Absent::$absent,
                        lies: Lies::$of($lies),
                    },)*
                }
            }
        }
    };
}

quantities! {
    Pickup PickupPart::Capacitance: "pickup capacitance", "", "680p", Never, |all, index| found(&mut capacitive(all, index)?.capacitance);
    Pickup PickupPart::Leakage: "leakage", "", "1G", NoPart, |all, index| found(&mut capacitive(all, index)?.leakage);
    Pickup PickupPart::Inductance: "inductance", "", "4.7 H", Never, |all, index| found(&mut magnetic(all, index)?.inductance);
    Pickup PickupPart::Resistance: "coil resistance", "", "6k8", Never, |all, index| found(&mut magnetic(all, index)?.resistance);
    Pickup PickupPart::Winding: "winding capacitance", "", "100p", NoPart, |all, index| found(&mut magnetic(all, index)?.winding);
    Pickup PickupPart::Loss: "core loss", "", "470k", NoPart, |all, index| found(&mut magnetic(all, index)?.loss);
    Pickup PickupPart::ToneResistance: "tone control", "", "220k", NoPart, |all, index| found(&mut pickup(all, index)?.tone);
    Pickup PickupPart::ToneCapacitance: "tone capacitor", "", "22n", Never, |all, index| found(&mut tone(all, index)?.capacitance);
    Pickup PickupPart::VolumeResistance: "volume pot", "", "470k", NoPart, |all, index| found(&mut pickup(all, index)?.volume);
    Pickup PickupPart::Mixing: "mixing resistor", "", "100k", NoPart, mixing;
    Position Control::Tone: "tone position", "", "", Default, |positions| &mut positions.tone;
    Position Control::Volume: "volume position", "", "", Default, |positions| &mut positions.volume;
    Link LinkPart::Length: "length", "", "3 m", Never, |link| found(&mut cable(link)?.length);
    Link LinkPart::PerMetre: "capacitance per metre", "/m", "", Default, |link| found(&mut cable(link)?.per_metre);
    Link LinkPart::Leakage: "leakage", "", "22M", NoPart, |link| found(&mut cable(link)?.leakage);
    Link LinkPart::Input: "input", "", "1M", Never, plain_input;
    Link LinkPart::Capacitance: "stray capacitance", "", "100p", NoPart, |link| found(&mut input_box(link)?.capacitance);
    Link LinkPart::Blocking: "blocking capacitor", "", "22n", NoPart, |link| found(&mut input_box(link)?.blocking);
    Link LinkPart::OwnCapacitance: "own capacitance", "", "330p", NoPart, |link| found(&mut transformer(link)?.capacitance);
    Link LinkPart::Winding: "primary winding", "", "1k5", NoPart, |link| found(&mut transformer(link)?.winding);
    Link LinkPart::Core: "core loss", "", "470k", NoPart, |link| found(&mut transformer(link)?.core);
    Link LinkPart::Primary: "transformer primary", "", "47 H", Never, |link| found(&mut transformer(link)?.primary);
    Link LinkPart::Ratio: "turns ratio", " : 1", "12", Never, |link| found(&mut transformer(link)?.ratio);
    Link LinkPart::Secondary: "secondary load", "", "1k5", Never, |link| found(&mut transformer(link)?.secondary);
    Link LinkPart::Resistor: "resistor in each leg", "", "10k", NoPart, splitter_resistor;
    Link LinkPart::Bare: "value", "", "", Never, bare;
}

impl Field {
    /// Which value it is.
    pub const fn part(&self) -> Part {
        match self {
            Self::Pickup(_, part) => Part::Pickup(*part),
            Self::Position(_, _, control) => Part::Position(*control),
            Self::Link(_, part) => Part::Link(*part),
        }
    }

    /// Its row of the table.
    pub const fn quantity(&self) -> Quantity {
        self.part().quantity()
    }
}

fn found(slot: &mut dyn Slot) -> Found<'_> {
    Some(slot)
}

fn pickup(all: &mut Pickups, index: usize) -> Option<&mut Pickup> {
    (index < all.count()).then(|| all.pickup_mut(index))
}

fn capacitive(all: &mut Pickups, index: usize) -> Option<&mut CapacitivePickup> {
    match &mut pickup(all, index)?.element {
        Element::Capacitive(element) => Some(element),
        Element::Magnetic(_) => None,
    }
}

fn magnetic(all: &mut Pickups, index: usize) -> Option<&mut MagneticPickup> {
    match &mut pickup(all, index)?.element {
        Element::Magnetic(element) => Some(element),
        Element::Capacitive(_) => None,
    }
}

fn tone(all: &mut Pickups, index: usize) -> Option<&mut ToneControl> {
    pickup(all, index)?.tone.as_mut()
}

fn mixing(all: &mut Pickups, index: usize) -> Found<'_> {
    match all {
        Pickups::Blend(blend) => found(&mut blend.get_mut(index)?.mixing),
        Pickups::One(_) => None,
    }
}

fn cable(link: &mut Link) -> Option<&mut Cable> {
    if let Link::Cable(cable) = link { Some(cable) } else { None }
}

fn input_box(link: &mut Link) -> Option<&mut InputBox> {
    if let Link::Box(input) = link { Some(input) } else { None }
}

fn transformer(link: &mut Link) -> Option<&mut Transformer> {
    match &mut input_box(link)?.input {
        Input::Transformer(transformer) => Some(transformer),
        Input::Resistance(_) => None,
    }
}

fn plain_input(link: &mut Link) -> Found<'_> {
    match &mut input_box(link)?.input {
        Input::Resistance(value) => found(value),
        Input::Transformer(_) => None,
    }
}

fn splitter_resistor(link: &mut Link) -> Found<'_> {
    if let Link::Splitter(splitter) = link { found(&mut splitter.resistor) } else { None }
}

fn bare(link: &mut Link) -> Found<'_> {
    match link {
        Link::Resistance(value) => found(value),
        Link::Capacitance(value) => found(value),
        Link::Inductance(value) => found(value),
        Link::Cable(_) | Link::Box(_) | Link::Splitter(_) => None,
    }
}
