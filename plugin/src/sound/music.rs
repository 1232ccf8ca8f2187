//! What is known of the music that sounds.

use arrayvec::ArrayVec;
use dsp_core::loudness::Spectrum;

use super::snapshot::MAX_TRACKS;

/// Seconds are kept in thousandths.
const MILLI: f64 = 1e3;
/// One spectrum for each track, and how much music it is of; a guess is of none.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Music {
    pub seconds: f64,
    pub tracks: ArrayVec<Spectrum, MAX_TRACKS>,
}

impl Music {
    /// Nothing is known.
    pub fn unknown() -> Self {
        Self { seconds: 0.0, tracks: ArrayVec::new() }
    }

    /// A guess for as many tracks, each alike.
    pub fn guess(usual: Spectrum, tracks: usize) -> Self {
        Self { seconds: 0.0, tracks: std::iter::repeat_n(usual, tracks.min(MAX_TRACKS)).collect() }
    }

    /// What has been learned of so many seconds, rounded as it is kept: what is saved is what was heard, to the bit.
    pub fn learned(tracks: &[Spectrum], seconds: f64) -> Self {
        let rounded = |spectrum: &Spectrum| Spectrum::from_levels(&spectrum.levels());
        Self {
            seconds: (MILLI * seconds).round() / MILLI,
            tracks: tracks.iter().take(MAX_TRACKS).map(rounded).collect(),
        }
    }

    pub fn is_learned(&self) -> bool {
        self.seconds > 0.0
    }
}
