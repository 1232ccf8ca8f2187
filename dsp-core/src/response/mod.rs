//! Exact responses of a circuit: `H` of a chain, `K` from one load to another, losses, and what follows
//! from them in figures. Everything here is in continuous time.

mod cable;
mod ceiling;
mod change;
mod contribution;
mod extremes;
mod facts;
mod landmark;
mod loss;
mod lossless;
mod needed;
mod noise;
mod shape;
mod spread;
mod substitute;
mod summit;
mod transfer;
mod undo;
mod whole;

pub(crate) use crate::polynomial::MOST_ROOTS;
pub use crate::polynomial::{Root, Roots};
pub use cable::CableRun;
pub use ceiling::Ceiling;
pub use change::Change;
pub use contribution::{Contribution, contributions};
pub use facts::{Against, Cost, Fact, Owner, Resonance, facts};
pub use landmark::Peak;
pub use loss::{NoteLoss, note_losses};
pub use lossless::{Lossless, LosslessPart, check_losses};
pub use needed::{HIGHEST_RESONANCE_DB, InputNeeded, Keeps, Leak, input_needed, load_needed_ohms};
pub use noise::{Noise, noise_rise_db, thermal_noise_volts};
pub use shape::Shape;
pub use spread::Range;
pub use transfer::Transfer;
pub use undo::Undo;
pub use whole::{Response, Slope};
