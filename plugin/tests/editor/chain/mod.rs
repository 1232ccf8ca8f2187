//! The editor: its model without drawing, and its views clicked and typed in.

mod edits;
mod fake;
mod links;
mod pictures;
mod view;
