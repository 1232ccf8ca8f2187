//! The file formats: setups to be heard, and the catalogue of instruments and pickups, all in TOML.

mod catalogue;
mod check;
mod crew;
mod error;
mod fields;
mod named;
mod names;
mod read;
mod remarks;
#[cfg(test)]
mod schema;
mod setups;
mod syntax;
mod text;
mod write;

pub use catalogue::{CoilKind, Instrument, PickupKind};
pub use crew::{Crew, LinePolarity, Phantom, Venue};
pub use error::{PresetError, PresetProblem};
pub use names::{is_same_name, nearest};
pub use remarks::Remark;
pub use setups::{Preset, Setup};
