//! The editor without a host and without a window: its model, and its views clicked, typed into and looked at.
#![cfg(feature = "editor")]

mod chain;
mod listening;
mod views;
mod whole;
