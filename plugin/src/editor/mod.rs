//! The editor: what a musician reads ten minutes before doors, and what an engineer keeps open.
//!
//! State is in one [`Model`] that knows no drawing; views read it and send [`Message`]s, one file a widget; a [`Session`] is
//! what lies behind: the plugin's parameters and sound, or a player. Nothing here knows a formula: figures come from
//! `dsp_core` by way of [`Figures`].

mod app;
mod blind;
mod damage;
pub mod document;
mod extent;
mod figures;
mod gestures;
mod held;
mod host;
#[cfg(any(target_os = "linux", windows))]
mod host_keys;
mod keeper;
mod kit;
mod listener;
mod message;
mod model;
#[cfg(windows)]
mod parent;
mod readings;
mod session;
mod settings;
#[cfg(target_os = "linux")]
mod surroundings;
mod system;
mod undoing;
pub mod views;
mod window;
#[cfg(target_os = "linux")]
mod xsettings;

pub use crate::host::view_field::{CURVES, PAGES, View};
pub use app::EditorApp;
#[cfg(feature = "standalone")]
pub(crate) use app::SOUND;
pub use blind::{Blind, BlindMessage, Conclusion, Score, Sound, p_value};
pub use document::edit::{ChainEdit, Edit, Level, PickupEdit, SetupsEdit, Switch};
pub use document::{Document, Where, usual::usual};
pub use figures::{Figures, HeldBack, NoiseRise, SetupFigures};
pub use host::HostSession;
pub use listener::Listener;
pub use message::{CurveKind, Message, Page};
pub use model::Model;
pub use readings::{Allowance, Meter, NoiseAsked, Readings};
pub use session::{Session, Stage};
pub use settings::{Settings, Theme};
pub use undoing::Undoing;
pub use views::{Views, apply_theme};
pub use window::FirstjackEditor;
