//! From an analog ratio to digital first-order sections: no latency, minimum phase, any rate, and a bound on the
//! error that holds whatever the corners are.

mod cascade;
mod digital;
mod first_order;
mod quartic;
mod sections;
mod warp;

pub use cascade::Cascade;
pub(crate) use cascade::{MOST_SECTIONS, Section};
pub use first_order::FirstOrderSections;
pub use sections::{RATES_HZ, Sections, accurate_to_hz, worst_error_db};
pub(crate) use warp::SECTIONS;
