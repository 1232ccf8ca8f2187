//! The parameters of one moment, as values: first as stored, which is quick to compare, then as the circuits they
//! stand for.

use dsp_core::circuit::{Cable, Chain, Link, Pickup, Pickups};
use dsp_core::response::{Change, Shape, Transfer};

use crate::params::{FirstjackParams, Heard, SETUPS};
use crate::shown;

/// What all parameters store.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Snapshot {
    pub heard: Heard,
    pub bypass: bool,
    pub level_match: bool,
    pub guard: bool,
    trim_db: f32,
    output_db: f32,
    circuits: Circuits,
}

/// What the parameters that decide the tone store.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Circuits {
    pickup_picofarads: f32,
    ceiling_db: f32,
    through: Load,
    setups: [Load; SETUPS],
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Load {
    ohms: f32,
    picofarads: f32,
    cable_metres: f32,
}

impl Snapshot {
    pub fn new(params: &FirstjackParams) -> Self {
        let (take, level) = (&params.take, &params.level);
        Self {
            heard: params.heard.value(),
            bypass: params.bypass.value(),
            level_match: level.level_match.value(),
            guard: level.guard.value(),
            trim_db: level.trim_db.value(),
            output_db: level.output_db.value(),
            circuits: Circuits {
                pickup_picofarads: take.pickup_picofarads.value(),
                ceiling_db: take.ceiling_db.value(),
                through: Load {
                    ohms: take.through_ohms.value(),
                    picofarads: take.through_picofarads.value(),
                    cable_metres: 0.0,
                },
                setups: std::array::from_fn(|index| {
                    let setup = &params.setups[index];
                    Load {
                        ohms: setup.ohms.value(),
                        picofarads: setup.picofarads.value(),
                        cable_metres: setup.cable_metres.value(),
                    }
                }),
            },
        }
    }

    /// Whether both stand for the same six changes of tone.
    pub fn same_circuits(&self, other: &Self) -> bool {
        self.circuits == other.circuits
    }

    /// What each setup does to the take.
    pub fn shapes(&self) -> [Shape; SETUPS] {
        let Some(capacitance) = shown::pickup_capacitance(self.circuits.pickup_picofarads) else {
            return [Shape::UNCHANGED; SETUPS];
        };
        let pickup = Pickup::new(capacitance);
        let through = self.circuits.through.shunt();
        let ceiling = shown::ceiling(self.circuits.ceiling_db);
        self.circuits.setups.map(|load| Change::new(&pickup, through, load.shunt()).shape(ceiling))
    }

    /// Gain of the setups, in dB.
    pub fn trim_db(&self) -> f64 {
        shown::level_db(self.trim_db)
    }

    /// Gain of all that is heard, in dB.
    pub fn output_db(&self) -> f64 {
        shown::level_db(self.output_db)
    }
}

impl Load {
    fn shunt(&self) -> Shunt {
        let resistance = shown::resistance(self.ohms).map(Link::Resistance);
        let capacitance = shown::shunt_capacitance(self.picofarads).map(Link::Capacitance);
        let cable =
            shown::cable(self.cable_metres).map(|length| Link::Cable(Cable { length, per_metre: None }));
        [resistance, capacitance, cable]
            .iter()
            .flatten()
            .map(Link::admittance)
            .fold(Shunt::default(), |sum, part| sum + part)
    }
}

#[cfg(test)]
mod tests {
    use dsp_core::preset::Preset;
    use dsp_core::response::Ceiling;

    use super::*;

    /// What the plugin starts with is what the preset says, to the bit: the program renders the same. The fourth setup
    /// is two resistances, which the plugin holds as one, in four digits.
    #[test]
    fn the_defaults_are_the_presets_circuits() {
        let preset = Preset::from_toml(include_str!("../../presets/courtyard.toml")).unwrap();
        let shapes = Snapshot::new(&FirstjackParams::default()).shapes();
        for (index, setup) in preset.setups.iter().enumerate() {
            let change = Change::new(&preset.pickup, preset.recorded.shunt(), setup.chain.shunt());
            let expected = change.shape(Ceiling::default());
            if index == 3 {
                approx::assert_relative_eq!(shapes[3].pole_rad_s, expected.pole_rad_s, max_relative = 5e-4);
            } else {
                assert_eq!(shapes[index], expected, "{}", setup.name);
            }
        }
    }

    #[test]
    fn a_setup_without_any_part_is_the_unloaded_pickup() {
        let nothing = Load { ohms: 1e9, picofarads: 0.0, cable_metres: 0.0 };
        assert_eq!(nothing.shunt(), Shunt::default());
    }

    #[test]
    fn all_parts_of_a_setup_count() {
        let load = Load { ohms: 1e6, picofarads: 47.0, cable_metres: 5.0 };
        // 100 pF/m.
        assert_eq!(load.shunt().siemens, 1e-6);
        approx::assert_relative_eq!(load.shunt().farads, 547e-12, max_relative = 1e-12);
    }

    #[test]
    fn only_what_decides_the_tone_makes_circuits_differ() {
        let now = Snapshot::new(&FirstjackParams::default());
        let louder = Snapshot { output_db: 3.0, trim_db: -1.0, heard: Heard::Setup1, ..now };
        assert!(now.same_circuits(&louder) && now != louder);
        let other = Circuits { ceiling_db: 12.0, ..now.circuits };
        assert!(!now.same_circuits(&Snapshot { circuits: other, ..now }));
    }
}
