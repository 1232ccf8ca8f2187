//! A person's kit: pickups and boxes of their own, by names of their own, with what was measured of them or printed on them.
//!
//! One TOML file has it; where that lies is not known here. Its entries have the fields that a pickup and a box of a chain have in a file of
//! setups, and besides a name and where the values come from. Where a pickup or a load is typed, and in files of setups, its names stand for
//! those values; [`Kit::embed`] writes them into a file of setups, which then needs no kit.

mod embed;
mod entry;
mod error;
mod levels;
mod name;
mod origin;
mod read;
mod remarks;
mod text;
mod typed;
mod write;

pub use embed::Embedded;
pub use entry::{Entry, KitBox, KitPickup};
pub use error::{KitError, NameProblem};
pub use levels::Levels;
pub use name::check_name;
pub use origin::{Date, Method, Origin};
pub use remarks::{Remark, is_kind};
pub use typed::TypedLoad;

use crate::preset::{is_same_name, nearest};

/// Pickups and boxes, each by a name that no other entry has.
///
/// ```
/// use dsp_core::kit::Kit;
/// let kit = Kit::from_toml(
///     r#"
///     version = 1
///
///     [[pickup]]
///     name = "bridge of the guitarrón"
///     capacitance = "680 pF ±6 %"
///     measured = "2026-11-27"
///     method = "sweep"
///
///     [[box]]
///     name = "our tuner"
///     input = "1 MΩ ±3 %"
///     "#,
/// )?;
/// assert!(kit.pickup("Bridge of the guitarrón").is_some());
/// assert_eq!(kit.load("our tuner || 470k")?.to_string(), "our tuner || 470 kΩ");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kit {
    entries: Vec<Entry>,
}

impl Kit {
    /// The latest version of the format.
    pub const VERSION: i64 = 1;

    /// All entries, in the file's order: pickups, then boxes.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The pickups.
    pub fn pickups(&self) -> impl Iterator<Item = &KitPickup> {
        self.entries
            .iter()
            .filter_map(|entry| if let Entry::Pickup(pickup) = entry { Some(pickup) } else { None })
    }

    /// The boxes.
    pub fn boxes(&self) -> impl Iterator<Item = &KitBox> {
        self.entries.iter().filter_map(|entry| if let Entry::Box(input) = entry { Some(input) } else { None })
    }

    /// The entry of a name, in capital or small letters.
    pub fn entry(&self, name: &str) -> Option<&Entry> {
        self.entries.iter().find(|entry| is_same_name(entry.name(), name))
    }

    /// The pickup of a name.
    pub fn pickup(&self, name: &str) -> Option<&KitPickup> {
        self.pickups().find(|pickup| is_same_name(&pickup.name, name))
    }

    /// The box of a name.
    pub fn input_box(&self, name: &str) -> Option<&KitBox> {
        self.boxes().find(|input| is_same_name(&input.input.name, name))
    }

    /// The name that was probably meant by one that is not there.
    pub fn near(&self, name: &str) -> Option<&str> {
        nearest(name, self.entries.iter().map(Entry::name))
    }

    /// Adds an entry.
    ///
    /// # Errors
    /// If its name can be none, or is there.
    pub fn add(&mut self, entry: impl Into<Entry>) -> Result<(), KitError> {
        let entry = entry.into();
        check_name(entry.name())?;
        if let Some(there) = self.entry(entry.name()) {
            return Err(KitError::There(there.name().to_owned()));
        }
        // As a file has them.
        let is_pickup = |entry: &Entry| matches!(entry, Entry::Pickup(_));
        let at = if is_pickup(&entry) { self.pickups().count() } else { self.entries.len() };
        self.entries.insert(at, entry);
        Ok(())
    }
}
