//! From an analog ratio to digital first-order sections: no latency, minimum phase, any rate, and a bound on the
//! error that holds whatever the corners are.

mod cascade;
mod digital;
mod first_order;
mod quartic;
mod sections;
mod warp;

pub(crate) use cascade::{Cascade, MOST_SECTIONS, Section};
pub(crate) use first_order::FirstOrderSections;
pub use sections::Sections;
pub(crate) use warp::SECTIONS;
