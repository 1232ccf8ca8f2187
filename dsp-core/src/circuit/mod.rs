//! Pickups, boxes and cables, and the network that they make. One small file an element, with its formula.
//!
//! Each element adds its own arms to a ladder network and knows no other element; the ladder turns arms into
//! polynomials in `s`.

mod blend;
mod blocking;
mod cable;
mod capacitive;
mod chain;
mod controls;
mod error;
mod feed;
mod immittance;
mod input_box;
mod knobs;
mod ladder;
mod magnetic;
mod pickup;
mod pickups;
mod put;
mod shunt;
mod splitter;
mod spread;
mod taper;
mod tone;
mod transformer;
mod typed;
mod volume;

pub use blend::{Blended, Polarity};
pub use cable::Cable;
pub use capacitive::CapacitivePickup;
pub use chain::{Chain, Link};
pub use error::ChainTooLarge;
pub use feed::{Feed, Pad};
pub(crate) use immittance::Immittance;
pub use input_box::{Input, InputBox, Thru};
pub use knobs::Knobs;
pub(crate) use ladder::{Factored, Ladder};
pub use magnetic::MagneticPickup;
pub use pickup::{Element, Pickup, Positions};
pub use pickups::Pickups;
pub use shunt::Shunt;
pub use splitter::Splitter;
pub use spread::Spread;
use spread::{Visit, each};
pub use taper::Taper;
pub use tone::ToneControl;
pub use transformer::Transformer;
pub use typed::LinkError;
pub(crate) use typed::split_thru;
pub use volume::VolumePot;
