//! Firstjack as a CLAP and VST3 effect: a take heard through any setup, in a host.
//!
//! This crate knows host parameters, states and events. What a circuit does to sound is `dsp_core`'s. It has rooms with doors that open
//! one way: `sound` knows neither hosts nor windows, `host` keeps what a host sees and saves, `editor` is the window; `desk` is the
//! plugin's sound without a host, for the program. `plugin` puts them together.

#[cfg(feature = "editor")]
mod desk;
#[cfg(feature = "editor")]
pub mod editor;
mod export;
mod host;
mod plugin;
mod sound;
#[cfg(feature = "standalone")]
mod standalone;

#[cfg(feature = "editor")]
pub use desk::waveform::{Asked, Peaks, Place, Waveform};
#[cfg(feature = "editor")]
pub use desk::{LiveDesk, LiveEngine, LiveError, live};
pub use export::{GetPluginFactory, clap_entry};
pub use host::params::{FirstjackParams, Heard, LevelParams, SetupParams, TakeParams};
pub use host::preset::{CircuitError, load_preset};
pub use plugin::Firstjack;
pub use sound::{SETUPS, telemetry};
#[cfg(feature = "standalone")]
pub use standalone::standalone;
