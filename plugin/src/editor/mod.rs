//! The editor: what a musician reads ten minutes before doors, and what an engineer keeps open.
//!
//! State is in one [`Model`] that knows no drawing; views read it and send [`Message`]s, one file a widget; a [`Session`] is
//! what lies behind: the plugin's parameters and sound, or a player. Nothing here knows a formula: figures come from
//! `dsp_core` by way of [`Figures`].

mod app;
mod blind;
mod blind_view;
mod chain;
pub mod choices;
#[cfg(test)]
mod colours;
mod curves;
mod decibels;
mod document;
pub mod edits;
mod figures;
mod files;
mod gestures;
mod held;
mod help;
mod host;
mod kit;
mod layout;
mod levels;
pub mod links;
mod listener;
mod look;
mod measure;
mod message;
mod meters;
mod model;
mod readings;
mod schematic;
mod session;
mod settings;
mod setups;
mod slots;
mod strings;
#[cfg(target_os = "linux")]
mod surroundings;
pub mod symbols;
mod theme;
mod usual;
mod verdict;
mod waveform;
mod window;

pub use app::EditorApp;
#[cfg(feature = "standalone")]
pub(crate) use app::SOUND;
pub use blind::{Blind, BlindMessage, Conclusion, Score, Sound, p_value};
pub use blind_view::BlindView;
pub use chain::ChainView;
pub use curves::CurvesView;
pub use document::{Document, Where};
pub use figures::{Figures, HeldBack, NoiseRise, SetupFigures};
pub use host::HostSession;
pub use layout::Views;
pub use levels::LevelsView;
pub use listener::Listener;
pub use message::{CurveKind, Message};
pub use meters::Meters;
pub use model::Model;
pub use readings::{Meter, Readings};
pub use session::{Session, Stage};
pub use settings::Settings;
pub use setups::{SetupsView, keys, preset_text};
pub use strings::StringsView;
pub use theme::{Theme, apply as apply_theme};
pub use usual::usual;
pub use verdict::VerdictView;
pub use waveform::{Asked, Peaks, Place, Waveform};
pub use window::FirstjackEditor;
