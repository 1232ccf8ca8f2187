//! Pickup, boxes and cables, and what of them loads the pickup.
//!
//! Each element knows its own admittance and no other element.

mod cable;
mod chain;
mod input_box;
mod pickup;
mod shunt;

pub use cable::Cable;
pub use chain::{Chain, Link};
pub use input_box::{InputBox, Thru};
pub use pickup::Pickup;
pub use shunt::Shunt;
