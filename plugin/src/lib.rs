//! Firstjack as a CLAP and VST3 effect: a take heard through any setup, in a host.
//!
//! This crate knows host parameters, states and events. What a circuit does to sound is `dsp_core`'s: a value walks
//! from the host's parameter (`params`) through its rounding to what is shown (`shown`, `text`) to a circuit
//! (`snapshot`) and into the processor (`engine`), never back.

mod engine;
mod export;
mod params;
mod plugin;
mod shown;
mod snapshot;
mod state;
mod text;

pub use export::{GetPluginFactory, clap_entry};
pub use params::{FirstjackParams, Heard, LevelParams, SETUPS, SetupParams, TakeParams};
pub use plugin::Firstjack;
