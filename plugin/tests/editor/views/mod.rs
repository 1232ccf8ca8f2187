//! The editor by clicking and typing.

mod curves;
pub mod fake;
mod figures;
mod pictures;
mod setups;
mod stage;
mod strings;
mod verdict;
