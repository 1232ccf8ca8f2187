use dsp_core::units::{Capacitance, Resistance};
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
    /// Nothing is left of the test sound with the pickup plugged in.
    #[error(
        "the recording 'plugged' has not the test sound in it, or far too quiet: what is plugged in shorts it (an active source, a \
         switch, a broken lead), or another sound was played; plug in the pickup alone and record 'plugged' again"
    )]
    Shorted,
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
    /// What is plugged in is a low resistance.
    #[error(
        "what is plugged in is a resistance of {ohms:.0} Ω without a capacitance: an active source (a buffer or preamp \
         behind the pickup); a pickup behind a buffer cannot be measured, nor does it need to be"
    )]
    Active {
        /// Its output's resistance.
        ohms: f64,
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

    // toggle
    /// A load of which the capacitance does not follow in closed form.
    #[error(
        "'{load}' has an inductance in it: switch a resistor or a box with a buffered input, told by its resistance, such as 56k ±1 %; a passive \
         box is found by a sweep"
    )]
    LoadWithInductance {
        /// As it was said.
        load: String,
    },
    /// Nothing is switched in and out.
    #[error("what is added is none: say what is switched in and out, such as 56k ±1 %")]
    NothingAdded,
    /// No room for silence and a note.
    #[error(
        "the take has {seconds:.1} s: record a second of damped silence, held notes with a switch about once a second, and a second of damped \
         silence"
    )]
    TakeTooShort {
        /// How long it is.
        seconds: f64,
    },
    /// Something sounds where the floor is taken from.
    #[error(
        "the take is not silent at its {}: leave a second before the first note, and one after the last with the strings damped; if they were, \
         hum is as loud as the notes, and must go", if *is_end { "end" } else { "beginning" }
    )]
    NoSilence {
        /// Whether it is at the end, and not at the beginning.
        is_end: bool,
    },
    /// A mark where no take is.
    #[error(
        "the mark at {mark_seconds} s is outside the take, which has {seconds:.2} s: marks are seconds from its beginning"
    )]
    MarkOutside {
        /// The first of them, in seconds.
        mark_seconds: f64,
        /// How long the take is.
        seconds: f64,
    },
    /// Marks that go back.
    #[error(
        "the mark at {second} s stands behind the one at {first} s: marks are in the order in which was switched, each once"
    )]
    MarksUnsorted {
        /// In seconds.
        first: f64,
        /// In seconds, not later.
        second: f64,
    },
    /// Not enough was switched.
    #[error(
        "there are {marks} marks: switch at least {least} times, better three times in each of eight held notes, and mark each"
    )]
    TooFewToggles {
        /// How many were given.
        marks: usize,
        /// How many are needed.
        least: usize,
    },
    /// Too much happens around marks.
    #[error(
        "of {marks} marks {usable} can be used, and {least} are needed: around the others there is not half a second in which a note is held and \
         nothing else is switched or begins; switch about once a second, the first time well after a note begins"
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
        "of {marks} marks {usable} can be used, and {least} are needed: at the others no note stands out of the floor on both sides; play louder \
         and let notes ring, or turn the input up, or switch in a higher resistance"
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
        "switching does not do to the notes what it does to a pickup that is a capacitance: is it switched where the marks are, first in and then \
         out, before any buffer or preamplifier, and is the pickup no coil? Notes that are plucked and low tell more than bowed ones"
    )]
    NotThisCircuit,
    /// All frequencies step alike.
    #[error(
        "all frequencies change nearly alike, which tells no capacitance: play low notes and bright ones, switch in a resistance with its corner \
         among them, such as 56k, and check that the switch is before any buffer"
    )]
    FlatStep,
    /// The value lies beyond what can be told.
    #[error(
        "the steps do not say where it ends: switch in a resistance with which the low notes lose more, hold more notes, low ones and bright ones, \
         and check that the switch is before any buffer"
    )]
    NoEnd,
    /// Too little is known of the capacitance to say one.
    #[error(
        "all that can be told is that the capacitance is between {low:.2} and {high:.2}: hold more notes, and switch more often"
    )]
    CapacitanceWide {
        /// Where it begins.
        low: Capacitance,
        /// Where it ends.
        high: Capacitance,
    },
    /// Too little is known of an input to say one.
    #[error(
        "all that can be told is that the input is between {low:.2} and {high:.2}: hold more notes, and switch more often, or use a sweep"
    )]
    InputWide {
        /// Where it begins.
        low: Resistance,
        /// Where it ends.
        high: Resistance,
    },
    /// An input that hardly loads.
    #[error(
        "the input is above 800 kΩ, or loads the pickup too little to be told from what is always there: use a sweep"
    )]
    InputTooHigh,
    // rub
    /// Not enough was switched.
    #[error(
        "there are {marks} marks: rub for two seconds without what is added and two seconds with it, by turns, twelve times; mark each switch"
    )]
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
    #[error(
        "a meter does not measure with {hz} Hz: its manual says the frequency, such as 100 Hz, 120 Hz or 1 kHz; 10 Hz to 10 MHz are accepted"
    )]
    MeterFrequency {
        /// As it was said.
        hz: f64,
    },
    /// No meter is so bad.
    #[error(
        "a meter's error of ±{percent} % is not accepted: 0 % to 50 % are; its manual says it, such as 2 %"
    )]
    MeterError {
        /// As it was said.
        percent: f64,
    },
    /// The cable may be all of it.
    #[error(
        "the cable alone may have as much as the meter reads: read it through a shorter cable, or say the cable's own capacitance by the metre"
    )]
    NothingBesideCable,
}
