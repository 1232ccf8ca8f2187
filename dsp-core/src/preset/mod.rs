//! The file formats: setups to be heard, and the catalogue of instruments and pickups, all in TOML.

mod catalogue;
mod crew;
mod error;
mod fields;
mod named;
mod read;
mod setups;
mod text;
mod write;

pub use catalogue::{CoilKind, Instrument, PickupKind};
pub use crew::{Crew, LinePolarity, Phantom, Venue};
pub use error::PresetError;
pub use setups::{Preset, Setup};
