//! A logarithmic sweep through a known part into the node that is measured.

mod known;
mod levels;
mod methods;
mod signal;

pub use known::Known;
pub use levels::{Levels, levels};
pub use methods::{coil, input_box, pickup};
pub use signal::Sweep;
