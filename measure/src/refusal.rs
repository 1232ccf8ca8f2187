use thiserror::Error;

/// Why recordings cannot tell, and what to do better.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Refusal {
    // any
    /// A recording has nothing in it.
    #[error("the recording '{recording}' is silent: check the lead and the input, and record it again")]
    Silent {
        /// Which of those that were given.
        recording: &'static str,
    },
    /// A recording has samples that are no numbers.
    #[error("the recording '{recording}' has samples that are no numbers: export it again")]
    NotFinite {
        /// Which of those that were given.
        recording: &'static str,
    },
    /// Tops are cut off, at full scale or below.
    #[error(
        "the recording '{recording}' is clipped: turn the output or the input's gain down, then record all steps again"
    )]
    Clipped {
        /// Which of those that were given.
        recording: &'static str,
    },

    // sweep
    /// A rate that the test sound is not made for.
    #[error("the recording '{recording}' has {hz} Hz: record at 44.1 to 192 kHz")]
    Rate {
        /// Which of those that were given.
        recording: &'static str,
        /// Its rate.
        hz: f64,
    },
    /// Recordings of one measurement differ in their rates.
    #[error(
        "the recording '{recording}' has {hz} Hz, the reference {reference_hz} Hz: record all steps at one rate"
    )]
    RatesDiffer {
        /// Which of those that were given.
        recording: &'static str,
        /// Its rate.
        hz: f64,
        /// That of the reference.
        reference_hz: f64,
    },
    /// Much longer than the test sound.
    #[error(
        "the recording '{recording}' lasts {seconds:.0} s: cut it to the test sound, of 8 s, and a little silence"
    )]
    TooLong {
        /// Which of those that were given.
        recording: &'static str,
        /// Its length.
        seconds: f64,
    },
    /// Nothing in a recording is the test sound.
    #[error(
        "the recording '{recording}' has not the test sound in it, or far too quiet: play the file of 'measure sweep' at \
         the recording's own rate, without effects, and check the lead"
    )]
    NoSweep {
        /// Which of those that were given.
        recording: &'static str,
    },
    /// Only some of the sweeps are in a recording.
    #[error(
        "the recording '{recording}' has {found} of the three sweeps: begin before the test sound and stop after it, and \
         record it again"
    )]
    SweepsMissing {
        /// Which of those that were given.
        recording: &'static str,
        /// How many are.
        found: usize,
    },
    /// The sweeps come with harmonics.
    #[error(
        "the recording '{recording}' is distorted ({percent:.1} % harmonics): something clips or limits; turn the output \
         down, and off whatever works on the sound, then record all steps again"
    )]
    Distorted {
        /// Which of those that were given.
        recording: &'static str,
        /// Second and third harmonic.
        percent: f64,
    },
    /// The three sweeps of a recording are not equally loud.
    #[error(
        "the sweeps in '{recording}' differ by {db:.1} dB: leave gains alone while it sounds, automatic gain and limiter \
         off, and look for a loose plug"
    )]
    Uneven {
        /// Which of those that were given.
        recording: &'static str,
        /// From the softest to the loudest.
        db: f64,
    },
    /// Through the known part it is louder than without.
    #[error(
        "'{recording}' is up to {db:.1} dB louder than the reference, which no circuit does: the input's gain was \
         changed in between, or the files are swapped; record all steps again"
    )]
    LouderThanReference {
        /// Which of those that were given.
        recording: &'static str,
        /// Where it is loudest.
        db: f64,
    },
    /// What the known part loses into the empty input is more than an input for instruments explains.
    #[error(
        "'empty' is {db:.1} dB below the reference: the input's gain was changed in between, or the input is lower than \
         three times the resistor, or the lead's cable too long for the capacitor; use an input for instruments, a resistor \
         of 100k (or a capacitor of 1 nF and at most 2 m of cable), and leave the gain alone"
    )]
    EmptyTooLow {
        /// At the plateau.
        db: f64,
    },
    /// The box takes away more than its input's capacitance would.
    #[error(
        "'box' is {db:.1} dB below the reference where only the box's capacitance counts: a gain was changed in between, or the \
         cable is too long for the capacitor; use a capacitor of 1 nF and at most 2 m of cable, and leave the gains alone"
    )]
    BoxTooLow {
        /// At the plateau.
        db: f64,
    },
    /// The pickup makes it louder.
    #[error(
        "'plugged' is up to {db:.1} dB louder than 'empty', which no pickup does: the two are swapped, or the gain was \
         changed in between"
    )]
    Swapped {
        /// Where it is loudest.
        db: f64,
    },
    /// No difference between the node with and without the pickup.
    #[error(
        "'plugged' is like 'empty': nothing was plugged in, its volume is down, or it has less than {least_pf:.0} pF; plug \
         the pickup in, volume and tone full up, and record 'plugged' again"
    )]
    NothingPlugged {
        /// What would have shown.
        least_pf: f64,
    },
    /// A step that is the same at all frequencies.
    #[error(
        "what is plugged in takes {db:.1} dB at all frequencies alike: an active source (a buffer or preamp behind the \
         pickup), or a changed gain; a pickup behind a buffer cannot be measured, nor does it need to be"
    )]
    Active {
        /// How much.
        db: f64,
    },
    /// It behaves as a coil does.
    #[error(
        "what is plugged in behaves like a coil, not like a capacitor: a magnetic pickup; use 'measure coil'"
    )]
    LikeACoil,
    /// It behaves as a capacitor does.
    #[error("what is plugged in behaves like a capacitor, not like a coil: use 'measure pickup'")]
    LikeACapacitor,
    /// What does not depend on the pickup's capacitance changed.
    #[error(
        "'plugged' is {db:+.1} dB off where the pickup's capacitance does not count: the input's gain was changed in \
         between, or a resistance lies across the pickup (a volume control, a leak); leave the gain alone, bypass the \
         control, and record all steps again"
    )]
    GainChanged {
        /// From empty to plugged.
        db: f64,
    },
    /// No circuit that was asked about explains it.
    #[error(
        "the recordings are up to {db:.1} dB off any such circuit: check what is plugged where, that nothing else is \
         connected and no effect works on the sound, and record all steps again"
    )]
    Unexplained {
        /// What is left by the best fit, over the worse quarter of bands.
        db: f64,
    },
    /// An interval too wide to be of use.
    #[error("{what} is somewhere between {low} and {high}, which is too wide: {better}")]
    TooWide {
        /// Which value.
        what: &'static str,
        /// Where the interval begins.
        low: String,
        /// Where it ends.
        high: String,
        /// What to do.
        better: &'static str,
    },
}
