//! What the host sees: parameters with their names, stable ids, ranges and defaults.
//!
//! Ids, stored units and ranges are for ever: states and automation of every version depend on them. Stored
//! are plain values: ohms, picofarads, henries, metres, dB, hertz (see `shown`). What no parameter holds is in the state's circuit.

use std::sync::{Arc, OnceLock};

use nice_plug::prelude::*;

use super::text;
use crate::host::circuit_field::CircuitField;
use crate::host::music_field::MusicField;
use crate::host::preset::{self, COURTYARD};
use crate::host::quantities::{
    CABLE, CEILING, FLOOR, INPUT, INPUT_CAPACITANCE, LEVEL, PICKUP_CAPACITANCE, PICKUP_INDUCTANCE, PRIMARY,
};
use crate::host::state::FormatField;
use crate::host::view_field::ViewField;
use crate::host::whole::Whole;
use crate::sound::SETUPS;
use crate::sound::values::{Load, Values};

/// What is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Enum)]
pub enum Heard {
    /// The take through the first setup.
    #[id = "setup-1"]
    #[name = "Setup 1"]
    Setup1,
    /// The take through the second setup.
    #[id = "setup-2"]
    #[name = "Setup 2"]
    Setup2,
    /// The take through the third setup.
    #[id = "setup-3"]
    #[name = "Setup 3"]
    Setup3,
    /// The take through the fourth setup.
    #[id = "setup-4"]
    #[name = "Setup 4"]
    Setup4,
    /// The take through the fifth setup.
    #[id = "setup-5"]
    #[name = "Setup 5"]
    Setup5,
    /// The take through the sixth setup.
    #[id = "setup-6"]
    #[name = "Setup 6"]
    Setup6,
    /// The take as it came in.
    #[id = "as-recorded"]
    #[name = "As recorded"]
    AsRecorded,
}

impl Heard {
    /// The setup's position, from zero; `None` for "as recorded".
    pub fn setup(self) -> Option<usize> {
        let index = self.to_index();
        (index < SETUPS).then_some(index)
    }
}

/// All parameters, in the order in which a host lists them.
#[derive(Params)]
pub struct FirstjackParams {
    /// Version of the state's format.
    #[persist = "format"]
    pub(crate) format: FormatField,
    /// What of the circuits no parameter holds.
    #[persist = "circuit"]
    pub(crate) circuit: CircuitField,
    /// What the level match has learned of the music.
    #[persist = "music"]
    pub(crate) music: MusicField,
    /// How the project is looked at.
    #[persist = "view"]
    pub(crate) view: ViewField,
    /// Makes one thing of all that is saved.
    pub(crate) whole: Whole,
    /// Tells the host that the state has changed in something that is no parameter.
    changed: OnceLock<StateNotifier>,
    /// What is heard.
    #[id = "heard"]
    pub heard: EnumParam<Heard>,
    /// The host's bypass: input passes unchanged.
    #[id = "bypass"]
    pub bypass: BoolParam,
    /// What was recorded, and how.
    #[nested(group = "Take")]
    pub take: TakeParams,
    /// How loud it is heard.
    #[nested(group = "Level")]
    pub level: LevelParams,
    /// What to hear it through.
    #[nested(array, group = "Setup")]
    pub setups: [SetupParams; SETUPS],
}

/// The first pickup, and what the take was recorded through.
#[derive(Params)]
pub struct TakeParams {
    /// Source capacitance in picofarads, of a capacitive pickup.
    #[id = "pickup_c"]
    pub pickup_picofarads: FloatParam,
    /// The coil's inductance in henries, of a magnetic pickup.
    #[id = "pickup_l"]
    pub pickup_henries: FloatParam,
    /// Input resistance that the take was recorded through, in ohms; the top of the range is "none".
    #[id = "through_r"]
    pub through_ohms: FloatParam,
    /// Capacitance across that input, in picofarads.
    #[id = "through_c"]
    pub through_picofarads: FloatParam,
    /// Primary inductance of that input's transformer, if it has one, in henries.
    #[id = "through_l"]
    pub through_henries: FloatParam,
    /// The most boost that a change may apply, in dB; the top of the range is "off".
    #[id = "ceiling"]
    pub ceiling_db: FloatParam,
    /// Whether that bounds every change, or undoing only, as it did before states of format 4.
    #[id = "ceiling_all"]
    pub of_every_change: BoolParam,
    /// Where a change that lifts the lows comes down again, in hertz; the bottom of the range is "off".
    #[id = "floor"]
    pub floor_hz: FloatParam,
}

/// Level match, gains and guard.
#[derive(Params)]
pub struct LevelParams {
    /// Whether the setups are brought to the loudness of the take.
    #[id = "match"]
    pub level_match: BoolParam,
    /// Whether the gains that do so stay as they are, whatever is heard.
    #[id = "hold"]
    pub hold: BoolParam,
    /// Gain of the setups in dB; "as recorded" is left alone.
    #[id = "trim"]
    pub trim_db: FloatParam,
    /// Whether a runaway fades to silence.
    #[id = "guard"]
    pub guard: BoolParam,
    /// Gain of everything but bypass, in dB.
    #[id = "output"]
    pub output_db: FloatParam,
}

/// One setup: the box that is listened to, or all of a plain load, and the cable behind the pickup.
#[derive(Params)]
pub struct SetupParams {
    /// Input resistance in ohms, of a transformer the reflected one; the top of the range is "none".
    #[id = "load_r"]
    pub ohms: FloatParam,
    /// Capacitance across the same jack, cable excepted, in picofarads.
    #[id = "load_c"]
    pub picofarads: FloatParam,
    /// Primary inductance of its transformer, if it has one, in henries.
    #[id = "load_l"]
    pub henries: FloatParam,
    /// Cable length in metres, at 100 pF/m.
    #[id = "cable"]
    pub cable_metres: FloatParam,
}

impl Default for FirstjackParams {
    /// The pickup, recording and setups of `presets/courtyard.toml`, heard as recorded.
    ///
    /// # Panics
    /// Never: the preset is part of the build, and a test reads it.
    fn default() -> Self {
        let (circuit, values) = preset::read(COURTYARD).expect("the preset is part of the build and tested");
        Self {
            format: FormatField::default(),
            circuit: CircuitField::new(COURTYARD, circuit),
            music: MusicField::default(),
            view: ViewField::default(),
            whole: Whole::default(),
            changed: OnceLock::new(),
            heard: EnumParam::new("Heard setup", Heard::AsRecorded),
            bypass: switch("Bypass", false).make_bypass(),
            take: TakeParams::new(&values),
            level: LevelParams::new(),
            setups: std::array::from_fn(|index| SetupParams::new(index + 1, &values.setups[index])),
        }
    }
}

impl FirstjackParams {
    /// Why the circuit in the last state that was loaded could not be read, if so. All setups are plain then: a capacitive
    /// pickup and the parameters' values. Saved again, the state still has that circuit. Not real-time safe.
    pub fn circuit_problem(&self) -> Option<String> {
        self.circuit.problem()
    }

    /// What of the last state that was loaded is not heard or shown as it was saved, if anything, in words. Not real-time safe.
    #[cfg(feature = "editor")]
    pub(crate) fn problem(&self) -> Option<String> {
        let circuit = self.circuit_problem().map(|problem| {
            format!("The setups of this project cannot be read, so that all are plain; they are kept until you change one: {problem}")
        });
        circuit.or_else(|| self.format.problem())
    }

    /// Tells the host that the state has changed in something that is no parameter, where it has a word for that. From any thread but
    /// the audio thread.
    #[cfg(feature = "editor")]
    pub(crate) fn mark_changed(&self) {
        if let Some(tell) = self.changed.get() {
            tell();
        }
    }
}

impl WholeState for FirstjackParams {
    fn save(&self, save: &mut dyn FnMut()) {
        self.whole.read(save);
    }

    fn load(&self, load: &mut dyn FnMut()) {
        self.whole.write(load);
    }

    fn set_notifier(&self, notifier: StateNotifier) {
        // An instance has one host.
        let _ = self.changed.set(notifier);
    }
}

impl TakeParams {
    fn new(values: &Values) -> Self {
        let Values { source, through, .. } = values;
        Self {
            pickup_picofarads: PICKUP_CAPACITANCE.param("Pickup capacitance", source.picofarads),
            pickup_henries: PICKUP_INDUCTANCE.param("Pickup inductance", source.henries),
            through_ohms: INPUT.param("Recorded through resistance", through.ohms),
            through_picofarads: INPUT_CAPACITANCE.param("Recorded through capacitance", through.picofarads),
            through_henries: PRIMARY.param("Recorded through inductance", through.henries),
            ceiling_db: CEILING.param("Undo ceiling", 24.0),
            of_every_change: switch("Ceiling on every change", true),
            floor_hz: FLOOR.param("Undo floor", 0.0),
        }
    }
}

impl LevelParams {
    fn new() -> Self {
        Self {
            level_match: switch("Level match", true),
            hold: switch("Hold match", false),
            trim_db: LEVEL.param("Trim", 0.0),
            guard: switch("Guard", true),
            output_db: LEVEL.param("Output", 0.0),
        }
    }
}

impl SetupParams {
    fn new(number: usize, load: &Load) -> Self {
        let name = |what| format!("Setup {number} {what}");
        Self {
            ohms: INPUT.param(name("load resistance"), load.ohms),
            picofarads: INPUT_CAPACITANCE.param(name("load capacitance"), load.picofarads),
            henries: PRIMARY.param(name("load inductance"), load.henries),
            cable_metres: CABLE.param(name("cable length"), load.cable_metres),
        }
    }
}

fn switch(name: &str, default: bool) -> BoolParam {
    BoolParam::new(name, default)
        .with_value_to_string(Arc::new(text::switch))
        .with_string_to_value(Arc::new(text::read_switch))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_heard_counts_from_zero() {
        assert_eq!(Heard::Setup1.setup(), Some(0));
        assert_eq!(Heard::Setup6.setup(), Some(5));
        assert_eq!(Heard::AsRecorded.setup(), None);
    }
}
