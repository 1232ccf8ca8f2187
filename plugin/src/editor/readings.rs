use dsp_core::processor::GuardCause;
use firstjack_measure::noise::AutoCeiling;

use super::{Document, Undoing};

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

/// What is to be found of the noise that comes in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NoiseAsked {
    /// The strings' fundamentals in Hz.
    pub strings_hz: Vec<f64>,
    /// Pickups that have a track each.
    pub tracks: usize,
    /// Whether it is listened for: some setup gives back what noise comes with.
    pub listens: bool,
    /// What is heard, if it gives back anything.
    pub heard: Option<Undoing>,
}

impl NoiseAsked {
    /// What is told without hearing anything.
    pub fn without_listening(&self) -> Allowance {
        match &self.heard {
            Some(Undoing::Lows(..)) => Allowance::Stands,
            Some(Undoing::Coil) => Allowance::Coil,
            None => Allowance::None,
        }
    }

    /// Something that is told of an undo's lows.
    pub fn unless(&self, lows: Allowance) -> Allowance {
        if matches!(self.heard, Some(Undoing::Lows(..))) { lows } else { self.without_listening() }
    }
}

/// What the noise that comes in allows what is heard.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Allowance {
    /// Nothing is given back.
    #[default]
    None,
    /// A coil is restored, whose loss is at the top.
    Coil,
    /// Nothing comes in, and too little has.
    Stands,
    /// So many seconds of what comes in have been heard, which is too little.
    Listening {
        /// In whole seconds.
        seconds: f64,
    },
    /// The quietest stretches are digital silence.
    Silence,
    /// Noise is so near to the music that the strings are not told from it.
    Drowned,
    /// This much boost.
    Allows(AutoCeiling),
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
    /// What noise allows.
    pub allowance: Allowance,
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
            allowance: Allowance::None,
            version: 0,
        }
    }
}
