use super::{Levels, Origin};
use crate::circuit::{InputBox, Pickup};

/// A pickup of a kit.
#[derive(Debug, Clone, PartialEq)]
pub struct KitPickup {
    /// What the person calls it.
    pub name: String,
    /// What it is, with the controls on the instrument, if it is said to have any.
    pub pickup: Pickup,
    /// Where the values come from.
    pub origin: Origin,
}

/// A box of a kit.
#[derive(Debug, Clone, PartialEq)]
pub struct KitBox {
    /// What it is, by the name that the person calls it; its thru, where that is known.
    pub input: InputBox,
    /// Its levels, if it is an audio interface.
    pub levels: Levels,
    /// Where the values come from.
    pub origin: Origin,
}

/// A pickup or a box.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A pickup.
    Pickup(KitPickup),
    /// A box.
    Box(KitBox),
}

impl Entry {
    /// What the person calls it.
    pub fn name(&self) -> &str {
        match self {
            Self::Pickup(pickup) => &pickup.name,
            Self::Box(input) => &input.input.name,
        }
    }

    /// Where its values come from.
    pub const fn origin(&self) -> &Origin {
        match self {
            Self::Pickup(pickup) => &pickup.origin,
            Self::Box(input) => &input.origin,
        }
    }
}

impl From<KitPickup> for Entry {
    fn from(pickup: KitPickup) -> Self {
        Self::Pickup(pickup)
    }
}

impl From<KitBox> for Entry {
    fn from(input: KitBox) -> Self {
        Self::Box(input)
    }
}
