//! `firstjack measure guided`: a person is led through a measurement, and the sweep is played and recorded here.
//!
//! The dialogue knows what is asked, answered and heard, and neither a terminal nor sound; `Interface` plays and records; what is between
//! them is in this file.

mod dialogue;
mod heard;
#[cfg(feature = "sound")]
mod interface;
#[cfg(feature = "sound")]
mod keep;
#[cfg(feature = "sound")]
mod keyboard;
mod listen;
mod spoken;
mod steps;
mod trouble;

#[cfg(feature = "sound")]
mod run;

#[cfg(feature = "sound")]
pub use run::run;
