//! Firstjack as a CLAP and VST3 effect: a take heard through any setup, in a host.
//!
//! This crate knows host parameters, states and events. What a circuit does to sound is `dsp_core`'s: a value walks
//! from the host's parameter (`params`, `values`) through its rounding to what is shown (`shown`, `text`) to a circuit
//! (`circuit`, `snapshot`) and into the processor (`engine`, `path`), never back. What no parameter holds comes from a
//! preset's text in the state (`state`, `field`, `preset`) and is handed to the audio thread (`exchange`), which tells an open
//! window what it hears (`telemetry`).

mod circuit;
#[cfg(feature = "editor")]
pub mod editor;
mod engine;
mod exchange;
mod export;
mod field;
#[cfg(feature = "editor")]
mod live;
mod matching;
mod music;
mod params;
mod path;
mod plugin;
mod preset;
mod shown;
mod snapshot;
#[cfg(feature = "standalone")]
mod standalone;
mod state;
pub mod telemetry;
mod text;
mod values;

pub use export::{GetPluginFactory, clap_entry};
#[cfg(feature = "editor")]
pub use live::{LiveDesk, LiveEngine, LiveError, live};
pub use params::{FirstjackParams, Heard, LevelParams, SETUPS, SetupParams, TakeParams};
pub use plugin::Firstjack;
pub use preset::{CircuitError, load_preset};
#[cfg(feature = "standalone")]
pub use standalone::standalone;
