//! The way of sound through the program: a take is read once for all versions of it that are measured, and once more for all that
//! are written. Commands say what the versions are and where they go.

mod excerpt;
mod fan;
mod levels;
mod measure;
mod playback;
mod true_peak;
mod voices;

#[cfg(feature = "window")]
pub use excerpt::range;
pub use excerpt::{Excerpt, rounded, seconds, time};
pub use fan::{Work, run};
pub use levels::{Level, Levels, Limit};
pub use measure::measure;
pub use playback::{Playback, Treatment};
