//! The editor: its model without drawing, and its views clicked and typed in.

mod chain;
mod edits;
mod fake;
mod links;
mod pictures;
