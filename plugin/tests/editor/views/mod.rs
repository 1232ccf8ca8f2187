//! The editor by clicking and typing.

pub mod allowance;
mod curves;
mod figures;
mod levels;
pub mod pictures;
mod setups;
pub mod stage;
mod strings;
mod tiles;
mod verdict;
