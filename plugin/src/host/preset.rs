//! A preset's text in the plugin: checked, and parted into the values that parameters hold and the rest.

use std::fmt;

use dsp_core::circuit::{CapacitivePickup, Chain, Element, Knobs, MagneticPickup};
use dsp_core::preset::{Preset, PresetError};
use dsp_core::units::{Capacitance, Inductance, Length, Resistance};
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;
use thiserror::Error;

use super::{state, stored};
use crate::sound::SETUPS;
use crate::sound::circuit::{Circuit, Part};
use crate::sound::shown;
use crate::sound::values::{Load, Source, Values};

/// What a new instance holds.
pub(crate) const COURTYARD: &str = include_str!("../../../presets/courtyard.toml");

/// Why the plugin cannot hold a preset.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CircuitError {
    /// It cannot be read.
    #[error(transparent)]
    Preset(#[from] PresetError),
    /// It has more setups than the plugin.
    #[error("there are {given} setups: accepted are at most {SETUPS}")]
    TooManySetups {
        /// Setups of the preset.
        given: usize,
    },
    /// A value lies outside its parameter's range.
    #[error("{place}: {what} is {given}: accepted is {accepted}")]
    OutOfRange {
        /// "pickup", "recorded" or the setup.
        place: String,
        /// Which value.
        what: &'static str,
        /// The value, as the trade writes it.
        given: String,
        /// The parameter's range.
        accepted: &'static str,
    },
}

/// Puts a preset into a state of the plugin, which the host or the framework can then load: its values in the place of the
/// state's, and its text as the circuit. Levels and what is heard stay.
///
/// # Errors
/// If the plugin cannot hold it; then the state is left as it is.
pub fn load_preset(text: &str, state: &mut PluginState) -> Result<(), CircuitError> {
    let (_, values) = read(text)?;
    state.params.extend(stored::by_id(&values).map(|(id, value)| (id, ParamValue::F32(value))));
    state::set_circuit(state, text);
    Ok(())
}

/// Parts a preset. Setups that it lacks are the unloaded pickup.
///
/// # Errors
/// If it cannot be read, has more setups than the plugin, or has values beyond the parameters' ranges.
pub(crate) fn read(text: &str) -> Result<(Circuit, Values), CircuitError> {
    part(&Preset::from_toml(text)?)
}

/// The same of a preset that has been read.
///
/// # Errors
/// If it resonates without loss, has more setups than the plugin, or has values beyond the parameters' ranges.
pub(crate) fn part(preset: &Preset) -> Result<(Circuit, Values), CircuitError> {
    preset.check_losses()?;
    let given = preset.setups.len();
    if given > SETUPS {
        return Err(CircuitError::TooManySetups { given });
    }
    let (through, rest) = load(&preset.recorded, "recorded")?;
    let recorded = Part::new(preset.pickups, preset.recorded_at, &rest);
    let mut loads = [Load::NONE; SETUPS];
    let mut setups =
        std::array::from_fn(|_| Part::new(preset.pickups, preset.recorded_at, &Chain::default()));
    for (index, setup) in preset.setups.iter().enumerate() {
        let (values, rest) = load(&setup.chain, &format!("setup '{}'", setup.name))?;
        loads[index] = values;
        setups[index] = Part::new(preset.pickups, setup.positions, &rest);
    }
    // Rounded as a setup's cable is, so that the same chain stays the same.
    let recorded_cable = shown::cable(through.cable_metres);
    let values = Values {
        source: source(&preset.pickups.pickup(0).element)?,
        through: Load { cable_metres: 0.0, ..through },
        setups: loads,
    };
    let circuit = Circuit::new(recorded, recorded_cable, setups, preset.instrument.as_deref());
    Ok((circuit, values))
}

fn source(element: &Element) -> Result<Source, CircuitError> {
    let mut source = Source::DEFAULT;
    match *element {
        Element::Capacitive(CapacitivePickup { capacitance, .. }) => {
            PICKUP_CAPACITANCE.store(Some(capacitance), &mut source.picofarads, "pickup")?;
        }
        Element::Magnetic(MagneticPickup { inductance, .. }) => {
            PICKUP_INDUCTANCE.store(Some(inductance), &mut source.henries, "pickup")?;
        }
    }
    Ok(source)
}

fn load(chain: &Chain, place: &str) -> Result<(Load, Chain), CircuitError> {
    let (knobs, rest) = Knobs::take(chain);
    let mut load = Load::NONE;
    INPUT.store(knobs.input, &mut load.ohms, place)?;
    CAPACITANCE.store(knobs.capacitance, &mut load.picofarads, place)?;
    PRIMARY.store(knobs.primary, &mut load.henries, place)?;
    CABLE.store(knobs.cable, &mut load.cable_metres, place)?;
    Ok((load, rest))
}

/// How a parameter holds a quantity.
struct Held<T> {
    what: &'static str,
    accepted: &'static str,
    /// Stored units to one of SI.
    scale: f64,
    si: fn(T) -> f64,
    shown: fn(f32) -> Option<T>,
}

const PICKUP_CAPACITANCE: Held<Capacitance> = Held {
    what: "the capacitance",
    accepted: "100 pF to 100 nF",
    scale: 1e12,
    si: Capacitance::farads,
    shown: shown::pickup_capacitance,
};
const PICKUP_INDUCTANCE: Held<Inductance> = Held {
    what: "the inductance",
    accepted: "10 mH to 100 H",
    scale: 1.0,
    si: Inductance::henries,
    shown: shown::coil_inductance,
};
const INPUT: Held<Resistance> = Held {
    what: "the input resistance",
    accepted: "1 kΩ to 999.9 MΩ",
    scale: 1.0,
    si: Resistance::ohms,
    shown: shown::resistance,
};
const CAPACITANCE: Held<Capacitance> = Held {
    what: "the input capacitance",
    accepted: "0.1 pF to 10 nF",
    scale: 1e12,
    si: Capacitance::farads,
    shown: shown::shunt_capacitance,
};
const PRIMARY: Held<Inductance> = Held {
    what: "the primary inductance",
    accepted: "100 mH to 1000 H",
    scale: 1.0,
    si: Inductance::henries,
    shown: shown::primary_inductance,
};
const CABLE: Held<Length> = Held {
    what: "the cable, at 100 pF a metre,",
    accepted: "1 cm to 100 m",
    scale: 1.0,
    si: Length::metres,
    shown: shown::cable,
};

impl<T: Copy + fmt::Display> Held<T> {
    /// Stores a value, if there is one, in four digits.
    fn store(&self, value: Option<T>, to: &mut f32, place: &str) -> Result<(), CircuitError> {
        let Some(value) = value else { return Ok(()) };
        let given = (self.si)(value);
        #[expect(clippy::cast_possible_truncation, reason = "parameters are kept in f32")]
        let stored = (given * self.scale) as f32;
        let kept = (self.shown)(stored).map(self.si);
        if !kept.is_some_and(|kept| (kept - given).abs() <= 1e-3 * given) {
            return Err(CircuitError::OutOfRange {
                place: place.to_owned(),
                what: self.what,
                given: format!("{value:.4}"),
                accepted: self.accepted,
            });
        }
        *to = stored;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn preset(pickup: &str, recorded: &str, setup: &str) -> String {
        format!(
            "version = 2\nname = 'test'\npickup = {{ {pickup} }}\n[recorded]\n{recorded}\n[[setup]]\nname = 'box'\n{setup}\n"
        )
    }

    #[test]
    fn values_are_taken_from_where_they_stand() {
        let text = preset(
            "inductance = '2H2', resistance = '5k6'",
            "chain = [{ cable = '3 m' }, { box = 'tuner', input = '1M', capacitance = '47p' }]",
            "chain = [
                { cable = '3 m', per_metre = '150 pF' },
                { box = 'tuner', input = '470k', thru = 'before' },
                { box = 'passive', capacitance = '330p', thru = 'after',
                  transformer = { primary = '33 H', ratio = '10', secondary = '2k2' } },
                { cable = '6 m' },
                { box = 'amplifier', input = '10k' },
            ]",
        );
        let (_, values) = read(&text).unwrap();
        assert_eq!(values.source, Source { henries: 2.2, ..Source::DEFAULT });
        assert_eq!(values.through, Load { ohms: 1e6, picofarads: 47.0, ..Load::NONE });
        // 450 pF are 4.5 m of the plugin's cable; 10² · 2.2 kΩ.
        let expected = Load { ohms: 220e3, picofarads: 330.0, henries: 33.0, cable_metres: 4.5 };
        assert_eq!(values.setups[0], expected);
        assert_eq!(values.setups[1], Load::NONE);
    }

    /// Beyond its range a parameter would hold another value, or none.
    #[test]
    fn what_parameters_cannot_hold_is_refused() {
        let pickup = "capacitance = '680 pF'";
        for (text, expected) in [
            (
                preset("capacitance = '220 nF'", "load = '1M'", "load = '1M'"),
                "pickup: the capacitance is 220 nF",
            ),
            (
                preset("inductance = '4.7 mH', resistance = '10'", "load = '1M'", "load = '1M'"),
                "pickup: the inductance is 4.7 mH",
            ),
            (preset(pickup, "load = '1G'", "load = '1M'"), "recorded: the input resistance is 1 GΩ"),
            (preset(pickup, "load = '1M'", "load = '600R'"), "setup 'box': the input resistance is 600 Ω"),
            (preset(pickup, "load = '1M'", "load = '22n'"), "setup 'box': the input capacitance is 22 nF"),
            (
                preset(pickup, "load = '1M'", "load = '120 m'"),
                "setup 'box': the cable, at 100 pF a metre, is 120 m",
            ),
            (
                preset(
                    pickup,
                    "load = '1M'",
                    "chain = [{ box = 'x', transformer = { primary = '2200 H', ratio = '12', secondary = '1k5' } }]",
                ),
                "setup 'box': the primary inductance is 2200 H",
            ),
        ] {
            let error = read(&text).unwrap_err();
            assert!(matches!(error, CircuitError::OutOfRange { .. }), "{error}");
            let told = error.to_string();
            assert!(told.starts_with(&format!("{expected}: accepted is ")), "{told}");
        }
    }

    #[test]
    fn no_setup_is_dropped_unsaid() {
        let mut text = COURTYARD.to_owned();
        text.push_str("\n[[setup]]\nname = 'seventh'\nload = '1M'\n");
        let error = read(&text).unwrap_err();
        assert_eq!(error, CircuitError::TooManySetups { given: 7 });
        assert_eq!(error.to_string(), "there are 7 setups: accepted are at most 6");
    }

    #[test]
    fn a_preset_that_cannot_be_held_leaves_the_state_alone() {
        let mut state =
            PluginState { version: String::new(), params: Default::default(), fields: Default::default() };
        assert!(matches!(load_preset("x", &mut state), Err(CircuitError::Preset(_))));
        assert!(state.params.is_empty() && state.fields.is_empty());
        load_preset(COURTYARD, &mut state).unwrap();
        assert_eq!((state.params.len(), state.fields.len()), (29, 2));
    }
}
