//! Exact responses of a circuit: `H` of a chain, `K` from one load to another, losses, and what follows
//! from them in figures. Everything here is in continuous time.

mod between;
mod cable;
mod ceiling;
mod change;
mod contribution;
mod extremes;
mod facts;
mod fed;
mod floor;
mod johnson;
mod landmark;
mod lossless;
mod merit;
mod needed;
mod noise;
mod ranking;
mod shape;
mod spread;
mod substitute;
mod summit;
mod transfer;
mod undo;
mod whole;

pub use crate::polynomial::{Root, Roots};
pub use between::Between;
pub use cable::CableRun;
pub use ceiling::Ceiling;
pub use change::Change;
pub use contribution::Contribution;
pub use facts::{Against, Fact, Owner, Resonance};
pub use fed::{Fed, johnson_volts};
pub use floor::Floor;
pub use johnson::JohnsonNoise;
pub use landmark::Peak;
pub use lossless::Lossless;
pub use merit::Merit;
pub use needed::{InputNeeded, Keeps, Leak};
pub use noise::Noise;
pub use ranking::{Candidate, Ranking};
pub use shape::Shape;
pub use spread::Range;
pub use transfer::Transfer;
pub use undo::Undo;
pub use whole::{Response, Slope};
