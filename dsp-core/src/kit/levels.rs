use super::text::LevelsText;
use crate::units::{FullScale, Resistance};

/// What an audio interface puts in and out, where it was measured or its maker says so.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Levels {
    /// What 0 dBFS is at the input that records.
    pub recorded: Option<FullScale>,
    /// What it is at the output that plays, or behind the isolating box that it feeds.
    pub played: Option<FullScale>,
    /// The resistance of that output or box.
    pub resistance: Option<Resistance>,
}

impl From<LevelsText> for Levels {
    fn from(text: LevelsText) -> Self {
        Self { recorded: text.recorded, played: text.played, resistance: text.resistance }
    }
}
