//! The editor without a host and without a window: its model, and its views clicked, typed into and looked at.
#![cfg(feature = "editor")]

mod chain;
mod fake;
mod listening;
mod pictures;
mod pixels;
mod raster;
mod snapshot;
mod undo;
mod views;
mod whole;
