use dsp_core::processor::GuardCause;

use super::Document;

/// What is measured of a signal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meter {
    /// True peak of the last moments in dBTP (ITU-R BS.1770, annex 2), falling slowly; minus infinity for silence.
    pub true_peak_db: f64,
    /// Short-term loudness (3 s) in LUFS (EBU Tech 3341); minus infinity for silence.
    pub short_term_lufs: f64,
}

impl Meter {
    /// Silence.
    pub const SILENT: Self = Self { true_peak_db: f64::NEG_INFINITY, short_term_lufs: f64::NEG_INFINITY };
}

/// What the editor hears.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The sample rate in Hz; zero while nothing runs.
    pub rate_hz: f64,
    /// Channels of the run; zero before the first one.
    pub channels: usize,
    /// The input.
    pub input: Meter,
    /// The output.
    pub output: Meter,
    /// Gain in dB that brings each setup to the loudness of the take, as far as known.
    pub matching_db: [Option<f64>; crate::SETUPS],
    /// Of how many seconds of music these gains are; of none while they are a guess.
    pub learned_seconds: f64,
    /// Whether they rest, because the person or an export asks for it.
    pub held: bool,
    /// Whether the guard holds the sound back now.
    pub guard_closed: bool,
    /// How often it has closed since the last reset.
    pub guard_closures: u64,
    /// Why it closed the last time.
    pub guard_cause: Option<GuardCause>,
    /// Whether what is asked for cannot be played, and what was heard before goes on.
    pub refused: bool,
    /// Power spectrum of the input as (Hz, dB re full scale), frequencies rising; empty while nothing is known.
    pub spectrum: Vec<(f64, f64)>,
    /// Counts up whenever anything above has changed.
    pub version: u64,
}

impl Readings {
    /// Whether a document asks for more tracks than there are: a blend of two pickups has a track for each, and on a mono track only the
    /// first is heard.
    pub fn lacks_second_track(&self, document: &Document) -> bool {
        self.channels == 1 && document.preset.pickups.count() > 1
    }
}

impl Default for Readings {
    fn default() -> Self {
        Self {
            rate_hz: 0.0,
            channels: 0,
            input: Meter::SILENT,
            output: Meter::SILENT,
            matching_db: [None; crate::SETUPS],
            learned_seconds: 0.0,
            held: false,
            guard_closed: false,
            guard_closures: 0,
            guard_cause: None,
            refused: false,
            spectrum: Vec::new(),
            version: 0,
        }
    }
}
