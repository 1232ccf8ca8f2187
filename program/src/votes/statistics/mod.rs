//! Tests of answers. Nothing here knows what was heard.

mod binomial;
mod friedman;
mod holm;

pub use binomial::{Sides, interval, needed, p_at_least, p_two_sided};
pub use friedman::{Chance, Friedman, doubled_ranks};
pub use holm::holm;

/// From here on a result is unlikely to be luck: one in twenty (common practice, no source).
pub const UNLIKELY: f64 = 0.05;
