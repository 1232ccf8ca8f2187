//! What a pickup and an input are, found from recordings: by a sweep through a known part, by held notes while a known load is switched in
//! and out, by rubbing the top, or by a meter's reading. Every result is an interval, or a refusal that says what to do better.

mod beside;
mod chart;
mod found;
pub mod meter;
pub mod noise;
mod recording;
mod refusal;
pub mod rub;
pub mod sweep;
pub mod toggle;

pub use chart::{Point, Series};
pub use found::{Estimate, Found, Measured};
pub use recording::Recording;
pub use refusal::Refusal;
