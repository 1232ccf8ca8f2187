//! The file formats: setups to be heard, and the catalogue of instruments and pickups, all in TOML.

mod catalogue;
pub(crate) mod check;
mod crew;
mod error;
pub(crate) mod fields;
mod named;
pub(crate) mod names;
pub(crate) mod read;
mod remarks;
#[cfg(test)]
mod schema;
mod setups;
pub(crate) mod syntax;
pub(crate) mod text;
pub(crate) mod write;

pub use catalogue::{CoilKind, Instrument, PickupKind};
pub use crew::{Crew, LinePolarity, Phantom, Venue};
pub use error::{PresetError, PresetProblem};
pub use names::{is_same_name, nearest, steers};
pub use remarks::Remark;
pub use setups::{Preset, Setup};
