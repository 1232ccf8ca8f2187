//! The editor: what a musician reads ten minutes before doors, and what an engineer keeps open.
//!
//! State is in one [`Model`] that knows no drawing; views read it and send [`Message`]s, one file a widget; a [`Session`] is
//! what lies behind: the plugin's parameters and sound, or a player. Nothing here knows a formula: figures come from
//! `dsp_core` by way of [`Figures`].

mod document;
mod figures;
mod message;
mod model;
mod readings;
mod session;

pub use document::{Document, Where};
pub use figures::{Figures, SetupFigures};
pub use message::{CurveKind, Message};
pub use model::Model;
pub use readings::{Meter, Readings};
pub use session::{Session, Stage};
