//! The editor: its model without drawing, and its views clicked and typed in.

mod choices;
mod edits;
mod kit;
mod links;
pub mod pictures;
pub mod view;
