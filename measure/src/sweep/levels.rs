use crate::Recording;

/// What can be seen of a step's recording before there are others beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// The largest sample, in dB below full scale; minus infinity of nothing.
    pub peak_db: f64,
    /// What sounds between the sweeps, rms in dB below full scale; of all of it, if there is no sweep.
    pub floor_db: f64,
    /// Whether tops are cut off.
    pub clipped: bool,
    /// How many of the test sound's sweeps were found.
    pub sweeps_found: usize,
}

/// Watches one step by itself.
pub fn levels(recording: &Recording) -> Levels {
    let peak = recording.samples.iter().fold(0.0, |peak: f64, sample| peak.max(sample.abs()));
    Levels {
        peak_db: 20.0 * peak.log10(),
        floor_db: f64::NEG_INFINITY,
        clipped: peak >= 1.0,
        sweeps_found: 0,
    }
}
