//! A logarithmic sweep through a known part into the node that is measured.

mod signal;

pub use signal::Sweep;
