//! What is heard, and how an open window is told of it: from the values of one moment to a circuit's filters. Nothing here knows a host,
//! a parameter or a window; whoever has values hands them in.
//!
//! A value walks through its rounding (`shown`) and into a circuit (`values`, `circuit`), to what it does to sound (`snapshot`) and the
//! processor (`engine`, `path`), never back. Circuits and what is known of the music come from another thread (`exchange`); what is
//! learned (`matching`) and what sounds (`telemetry`) goes to others.

pub(crate) mod circuit;
pub(crate) mod engine;
pub(crate) mod exchange;
mod matching;
pub(crate) mod music;
mod path;
pub(crate) mod shown;
pub(crate) mod snapshot;
pub mod telemetry;
pub(crate) mod values;

/// Setups that can be heard beside "as recorded".
pub const SETUPS: usize = 6;

/// Channels of the widest layout.
pub(crate) const MAX_CHANNELS: usize = 2;
