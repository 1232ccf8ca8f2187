//! Exact responses of a circuit: `H` of a chain, `K` from one load to another, losses, and what follows
//! from them in figures. Everything here is in continuous time.

mod change;
mod contribution;
mod loss;
mod needed;
mod noise;
mod polynomial;
mod transfer;
mod verdict;

pub use change::{Ceiling, Change, Shape};
pub use contribution::{Contribution, contributions};
pub use loss::{NoteLoss, note_losses};
pub use needed::load_needed_ohms;
pub use noise::{noise_rise_db, thermal_noise_volts};
pub use transfer::Transfer;
pub use verdict::{spoken_db, verdict};
