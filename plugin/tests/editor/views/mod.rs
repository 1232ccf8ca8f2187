//! The editor by clicking and typing.

mod curves;
mod figures;
mod levels;
pub mod pictures;
mod setups;
pub mod stage;
mod strings;
mod tiles;
mod verdict;
