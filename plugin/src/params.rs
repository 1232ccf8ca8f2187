//! What the host sees: parameters with their names, stable ids, ranges and defaults.
//!
//! Ids, stored units and ranges are for ever: states and automation of every version depend on them. Stored
//! are plain values: ohms, picofarads, metres, dB (see `shown`).

use std::sync::Arc;
use std::sync::atomic::AtomicU32;

use dsp_core::circuit::{Cable, Chain, Link, Pickup};
use dsp_core::preset::Preset;
use nice_plug::prelude::*;

use crate::{shown, state, text};

/// Setups that can be heard beside "as recorded".
pub const SETUPS: usize = 6;

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
    pub(crate) format: AtomicU32,
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

/// The pickup, and what stood across it when the take was made.
#[derive(Params)]
pub struct TakeParams {
    /// Source capacitance in picofarads.
    #[id = "pickup_c"]
    pub pickup_picofarads: FloatParam,
    /// Resistance that the take was recorded through, in ohms; the top of the range is "none".
    #[id = "through_r"]
    pub through_ohms: FloatParam,
    /// Capacitance that the take was recorded through, in picofarads.
    #[id = "through_c"]
    pub through_picofarads: FloatParam,
    /// The most boost that undoing may apply, in dB; the top of the range is "off".
    #[id = "ceiling"]
    pub ceiling_db: FloatParam,
}

/// Level match, gains and guard.
#[derive(Params)]
pub struct LevelParams {
    /// Whether the setups are brought to the loudness of the take.
    #[id = "match"]
    pub level_match: BoolParam,
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

/// One setup: all that stands in parallel before the first buffer.
#[derive(Params)]
pub struct SetupParams {
    /// Resistance in ohms; the top of the range is "none".
    #[id = "load_r"]
    pub ohms: FloatParam,
    /// Capacitance, cable excepted, in picofarads.
    #[id = "load_c"]
    pub picofarads: FloatParam,
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
        let preset = Preset::from_toml(include_str!("../../presets/courtyard.toml"))
            .expect("the preset is part of the build and tested");
        let nothing = Chain::default();
        let chain = |index: usize| preset.setups.get(index).map_or(&nothing, |setup| &setup.chain);
        Self {
            format: AtomicU32::new(state::FORMAT),
            heard: EnumParam::new("Heard setup", Heard::AsRecorded),
            bypass: switch("Bypass", false).make_bypass(),
            take: TakeParams::new(&preset.pickup, &preset.recorded),
            level: LevelParams::new(),
            setups: std::array::from_fn(|index| SetupParams::new(index + 1, chain(index))),
        }
    }
}

impl TakeParams {
    fn new(pickup: &Pickup, through: &Chain) -> Self {
        let through = Reduced::new(through);
        // A take has no cable of its own: it counts as capacitance.
        let cable_picofarads = through.cable_metres * Cable::PER_METRE_FARADS * 1e12;
        Self {
            pickup_picofarads: pickup_capacitance("Pickup capacitance", pickup.capacitance.farads() * 1e12),
            through_ohms: resistance("Recorded through resistance", through.ohms),
            through_picofarads: shunt_capacitance(
                "Recorded through capacitance",
                through.picofarads + cable_picofarads,
            ),
            ceiling_db: ceiling("Undo ceiling"),
        }
    }
}

impl LevelParams {
    fn new() -> Self {
        Self {
            level_match: switch("Level match", true),
            trim_db: level("Trim"),
            guard: switch("Guard", true),
            output_db: level("Output"),
        }
    }
}

impl SetupParams {
    fn new(number: usize, chain: &Chain) -> Self {
        let load = Reduced::new(chain);
        let name = |what| format!("Setup {number} {what}");
        Self {
            ohms: resistance(name("load resistance"), load.ohms),
            picofarads: shunt_capacitance(name("load capacitance"), load.picofarads),
            cable_metres: cable(name("cable length"), load.cable_metres),
        }
    }
}

/// A chain in the three values that a setup has.
struct Reduced {
    ohms: f64,
    picofarads: f64,
    cable_metres: f64,
}

impl Reduced {
    fn new(chain: &Chain) -> Self {
        // A cable of another capacitance per metre counts as the length of ours that has as much.
        let farads: f64 = chain
            .loading()
            .filter(|link| matches!(link, Link::Cable(_)))
            .map(|cable| cable.admittance().farads)
            .sum();
        let shunt = chain.shunt();
        Self {
            ohms: shunt.ohms(),
            picofarads: (shunt.farads - farads) * 1e12,
            cable_metres: farads / Cable::PER_METRE_FARADS,
        }
    }
}

// The factors of the wide ranges make the middle of the travel fall near the middle of their decades.

fn resistance(name: impl Into<String>, default_ohms: f64) -> FloatParam {
    float(name, default_ohms, shown::RESISTANCE_OHMS, 0.125, text::resistance, text::read_resistance)
}

fn pickup_capacitance(name: &str, default_picofarads: f64) -> FloatParam {
    let (write, read) = (text::pickup_capacitance, text::read_pickup_capacitance);
    float(name, default_picofarads, shown::PICKUP_PICOFARADS, 0.2, write, read)
}

fn shunt_capacitance(name: impl Into<String>, default_picofarads: f64) -> FloatParam {
    let (write, read) = (text::shunt_capacitance, text::read_shunt_capacitance);
    float(name, default_picofarads, shown::SHUNT_PICOFARADS, 0.25, write, read)
}

fn cable(name: String, default_metres: f64) -> FloatParam {
    float(name, default_metres, shown::CABLE_METRES, 0.5, text::cable, text::read_cable)
}

fn level(name: &str) -> FloatParam {
    float(name, 0.0, shown::LEVEL_DB, 1.0, text::level, text::read_level)
}

fn ceiling(name: &str) -> FloatParam {
    float(name, 24.0, shown::CEILING_DB, 1.0, text::ceiling, text::read_ceiling)
}

fn float(
    name: impl Into<String>,
    default: f64,
    (min, max): (f32, f32),
    factor: f32,
    write: fn(f32) -> String,
    read: fn(&str) -> Option<f32>,
) -> FloatParam {
    #[expect(clippy::cast_possible_truncation, reason = "parameters are kept in f32")]
    let default = (default as f32).clamp(min, max);
    FloatParam::new(name, default, FloatRange::Skewed { min, max, factor })
        .with_value_to_string(Arc::new(write))
        .with_string_to_value(Arc::new(read))
}

fn switch(name: &str, default: bool) -> BoolParam {
    BoolParam::new(name, default)
        .with_value_to_string(Arc::new(text::switch))
        .with_string_to_value(Arc::new(text::read_switch))
}

#[cfg(test)]
mod tests {
    use dsp_core::circuit::{InputBox, Thru};

    use super::*;

    #[test]
    fn a_chain_is_reduced_to_what_loads() {
        let chain = Chain::new(vec![
            Link::Cable(Cable { length: "3 m".parse().unwrap(), per_metre: Some("150p".parse().unwrap()) }),
            Link::Box(InputBox {
                name: "tuner".to_owned(),
                input: "1M".parse().unwrap(),
                capacitance: Some("47p".parse().unwrap()),
                thru: Some(Thru::After),
            }),
            Link::Cable(Cable { length: "6 m".parse().unwrap(), per_metre: None }),
            Link::Resistance("10k".parse().unwrap()),
        ]);
        let load = Reduced::new(&chain);
        approx::assert_relative_eq!(load.ohms, 1e6);
        approx::assert_relative_eq!(load.picofarads, 47.0, max_relative = 1e-9);
        // 450 pF are 4.5 m of the plugin's cable.
        approx::assert_relative_eq!(load.cable_metres, 4.5, max_relative = 1e-9);
    }

    #[test]
    fn an_empty_chain_is_no_load() {
        let load = Reduced::new(&Chain::default());
        assert_eq!((load.ohms, load.picofarads, load.cable_metres), (f64::INFINITY, 0.0, 0.0));
    }

    #[test]
    fn what_is_heard_counts_from_zero() {
        assert_eq!(Heard::Setup1.setup(), Some(0));
        assert_eq!(Heard::Setup6.setup(), Some(5));
        assert_eq!(Heard::AsRecorded.setup(), None);
    }
}
