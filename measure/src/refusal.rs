use dsp_core::units::{Capacitance, Resistance};
use thiserror::Error;

/// Why recordings cannot tell, and what to do better.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Refusal {
    /// A recording has nothing in it.
    #[error("the recording '{recording}' is silent: check the lead and the input, and record it again")]
    Silent {
        /// Which of those that were given.
        recording: &'static str,
    },

    // toggle
    /// A sample is no number.
    #[error("the recording '{recording}' has samples that are no numbers: the file is damaged, record it again")]
    NotFinite {
        /// Which of those that were given.
        recording: &'static str,
    },
    /// A load of which the capacitance does not follow in closed form.
    #[error(
        "'{load}' has an inductance in it: switch a resistor or a box with a buffered input, told by its resistance, such as 56k ±1 %; a passive          box is found by a sweep"
    )]
    LoadWithInductance {
        /// As it was said.
        load: String,
    },
    /// Nothing is switched in and out.
    #[error("what is added is none: say what is switched in and out, such as 56k ±1 %")]
    NothingAdded,
    /// A take is cut off at the top.
    #[error("the take is clipped: turn the input down until no peak reaches full scale, and record it again")]
    TakeClipped,
    /// No room for silence and a note.
    #[error(
        "the take has {seconds:.1} s: record a second of damped silence, held notes with a switch about once a second, and a second of damped          silence"
    )]
    TakeTooShort {
        /// How long it is.
        seconds: f64,
    },
    /// Something sounds where the floor is taken from.
    #[error(
        "the take is not silent at its {}: leave a second before the first note, and one after the last with the strings damped; if they were,          hum is as loud as the notes, and must go", if *is_end { "end" } else { "beginning" }
    )]
    NoSilence {
        /// Whether it is at the end, and not at the beginning.
        is_end: bool,
    },
    /// A mark where no take is.
    #[error("the mark at {mark_seconds} s is outside the take, which has {seconds:.2} s: marks are seconds from its beginning")]
    MarkOutside {
        /// The first of them, in seconds.
        mark_seconds: f64,
        /// How long the take is.
        seconds: f64,
    },
    /// Marks that go back.
    #[error("the mark at {second} s stands behind the one at {first} s: marks are in the order in which was switched, each once")]
    MarksUnsorted {
        /// In seconds.
        first: f64,
        /// In seconds, not later.
        second: f64,
    },
    /// Not enough was switched.
    #[error("there are {marks} marks: switch at least {least} times, better three times in each of eight held notes, and mark each")]
    TooFewToggles {
        /// How many were given.
        marks: usize,
        /// How many are needed.
        least: usize,
    },
    /// Too much happens around marks.
    #[error(
        "of {marks} marks {usable} can be used, and {least} are needed: around the others there is not half a second in which a note is held and          nothing else is switched or begins; switch about once a second, the first time well after a note begins"
    )]
    TooCrowded {
        /// How many were given.
        marks: usize,
        /// How many can be used.
        usable: usize,
        /// How many are needed.
        least: usize,
    },
    /// Nothing sounds at marks.
    #[error(
        "of {marks} marks {usable} can be used, and {least} are needed: at the others no note stands out of the floor on both sides; play louder          and let notes ring, or turn the input up, or switch in a higher resistance"
    )]
    NoNotes {
        /// How many were given.
        marks: usize,
        /// How many can be used.
        usable: usize,
        /// How many are needed.
        least: usize,
    },
    /// Marks, and no steps.
    #[error(
        "hardly anything changes at the marks: is it switched there, straight across the pickup and before any preamplifier? The output of a \
         preamplifier does not mind what is switched across it, and is no capacitance"
    )]
    NothingSwitched,
    /// The steps are not those of a capacitance.
    #[error(
        "switching does not do to the notes what it does to a pickup that is a capacitance: is it switched where the marks are, first in and then          out, before any buffer or preamplifier, and is the pickup no coil?"
    )]
    NotThisCircuit,
    /// All frequencies step alike.
    #[error(
        "all frequencies change nearly alike, which tells no capacitance: play low notes and bright ones, switch in a resistance with its corner          among them, such as 56k, and check that the switch is before any buffer"
    )]
    FlatStep,
    /// The value lies beyond what can be told.
    #[error(
        "the steps do not say where it ends: switch in a resistance with which the low notes lose more, hold more notes, low ones and bright ones, \
         and check that the switch is before any buffer"
    )]
    NoEnd,
    /// Too little is known of the capacitance to say one.
    #[error("all that can be told is that the capacitance is between {low:.2} and {high:.2}: hold more notes, and switch more often")]
    CapacitanceWide {
        /// Where it begins.
        low: Capacitance,
        /// Where it ends.
        high: Capacitance,
    },
    /// Too little is known of an input to say one.
    #[error("all that can be told is that the input is between {low:.2} and {high:.2}: hold more notes, and switch more often, or use a sweep")]
    InputWide {
        /// Where it begins.
        low: Resistance,
        /// Where it ends.
        high: Resistance,
    },
    /// An input that hardly loads.
    #[error("the input is above 800 kΩ, or loads the pickup too little to be told from what is always there: use a sweep")]
    InputTooHigh,
    // rub
    /// Not enough was switched.
    #[error("there are {marks} marks: rub for two seconds without what is added and two seconds with it, by turns, twelve times; mark each switch")]
    TooFewStretches {
        /// How many were given.
        marks: usize,
        /// How many are needed.
        least: usize,
    },
    /// Nothing stands out of the floor.
    #[error(
        "of {marks} marks {usable} can be used, and {least} are needed: on both sides of a mark rub or tap the top for at least a second, evenly and \
         louder, or turn the input up"
    )]
    RubbedTooSoftly {
        /// How many were given.
        marks: usize,
        /// How many can be used.
        usable: usize,
        /// How many are needed.
        least: usize,
    },
    // meter
    /// No meter measures with it.
    #[error("a meter does not measure with {hz} Hz: its manual says the frequency, such as 100 Hz, 120 Hz or 1 kHz; 10 Hz to 10 MHz are accepted")]
    MeterFrequency {
        /// As it was said.
        hz: f64,
    },
    /// No meter is so bad.
    #[error("a meter's error of ±{percent} % is not accepted: 0 % to 50 % are; its manual says it, such as 2 %")]
    MeterError {
        /// As it was said.
        percent: f64,
    },
    /// The cable may be all of it.
    #[error("the cable alone may have as much as the meter reads: read it through a shorter cable, or say the cable's own capacitance by the metre")]
    NothingBesideCable,
}
