//! A logarithmic sweep through a known part into the node that is measured.
//!
//! A recording's sweeps are found (`find`), the mains taken away (`mains`), each sweep deconvolved and held against the reference in bands (`bands`); the
//! circuit at the node (`circuit`) is fitted to all steps together (`fit`), and told with intervals (`told`) by one file a method.

mod bands;
mod circuit;
mod coil;
mod empty;
mod find;
mod fit;
mod input_box;
mod known;
mod lengths;
mod levels;
mod mains;
mod pickup;
mod signal;
mod steps;
mod thinned;
mod told;

pub use coil::coil;
pub use input_box::input_box;
pub use known::Known;
pub(crate) use lengths::{fast_length, frames};
pub use levels::{Levels, levels};
pub use pickup::pickup;
pub use signal::Sweep;
