//! The six strings: pitch and the physical constants that shape their sound.

/// The strings in the instrument's own order: the last is tuned below the one before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StringName {
    /// Sixth string, 55 Hz.
    A1,
    /// Fifth string.
    D2,
    /// Fourth string.
    G2,
    /// Third string.
    C3,
    /// Second string.
    E3,
    /// First string, an octave above the sixth.
    A2,
}

/// Constants of one string. All but the pitch are chosen by ear and belong to no real instrument.
#[derive(Clone, Copy, Debug)]
pub(super) struct OpenString {
    /// Semitones from A4.
    semitones_from_a4: i32,
    /// Inharmonicity `B` of `f_n = n f0 sqrt(1 + B n²)`, without unit.
    pub(super) inharmonicity: f64,
    /// Decay rate that all partials have in common, per second (amplitude falls as `exp(-rate t)`).
    pub(super) decay_per_s: f64,
}

impl StringName {
    /// All six, in order.
    pub(super) const ALL: [Self; 6] = [Self::A1, Self::D2, Self::G2, Self::C3, Self::E3, Self::A2];

    /// What the string is made of, so to speak: the low ones are wound and ring longest.
    pub(super) fn open(self) -> OpenString {
        let (semitones_from_a4, inharmonicity, decay_per_s) = match self {
            Self::A1 => (-36, 1.6e-4, 1.30),
            Self::D2 => (-31, 1.3e-4, 1.45),
            Self::G2 => (-26, 1.1e-4, 1.60),
            Self::C3 => (-21, 1.8e-4, 1.90),
            Self::E3 => (-17, 1.4e-4, 2.10),
            Self::A2 => (-24, 2.0e-4, 1.75),
        };
        OpenString { semitones_from_a4, inharmonicity, decay_per_s }
    }

    /// Equal-tempered pitch in Hz, `semitones` above the open string; A4 = 440 Hz (ISO 16).
    pub(super) fn pitch_hz(self, semitones: i32) -> f64 {
        let from_a4 = self.open().semitones_from_a4 + semitones;
        440.0 * (f64::from(from_a4) / 12.0).exp2()
    }
}
