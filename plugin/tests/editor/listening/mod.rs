//! The editor by clicking and typing.

mod blind;
mod fake;
mod meters;
mod pictures;
