use super::find::count;
use crate::Recording;

/// What can be seen of a step's recording before there are others beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// The largest sample, in dB below full scale; minus infinity of nothing.
    pub peak_db: f64,
    /// Whether tops are cut off.
    pub clipped: bool,
    /// How many of the test sound's sweeps were found, in their distance from each other.
    pub sweeps_found: usize,
}

/// Watches one step by itself.
pub fn levels(recording: &Recording) -> Levels {
    let finite = recording.samples.iter().all(|sample| sample.is_finite());
    let sweeps_found =
        if finite && recording.peak() > 0.0 && recording.rate_hz > 0.0 { count(recording) } else { 0 };
    Levels { peak_db: 20.0 * recording.peak().log10(), clipped: recording.is_clipped(), sweeps_found }
}
