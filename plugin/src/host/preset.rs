//! A preset's text in the plugin: checked, and parted into the values that parameters hold and the rest.

use std::fmt;

use dsp_core::circuit::{CapacitivePickup, Chain, Element, Knobs, MagneticPickup};
use dsp_core::preset::{Preset, PresetError};
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;
use thiserror::Error;

use super::params::FirstjackParams;
use super::quantities::{
    CABLE, INPUT, INPUT_CAPACITANCE, PICKUP_CAPACITANCE, PICKUP_INDUCTANCE, PRIMARY, Quantity, picofarads,
};
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
        accepted: String,
    },
}

/// Puts a preset into a state of the plugin, which the host or the framework can then load: its values in the place of the
/// state's, and its text as the circuit. Levels and what is heard stay.
///
/// # Errors
/// If the plugin cannot hold it; then the state is left as it is.
pub fn load_preset(text: &str, state: &mut PluginState) -> Result<(), CircuitError> {
    let (_, values) = read(text)?;
    let values = stored::by_id(&FirstjackParams::default(), values).into_iter();
    state.params.extend(values.map(|(id, value)| (id, ParamValue::F32(value))));
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
            let value = Some((picofarads(capacitance), capacitance));
            put(&PICKUP_CAPACITANCE, value, &mut source.picofarads, "pickup")?;
        }
        Element::Magnetic(MagneticPickup { inductance, .. }) => {
            let value = Some((inductance.henries(), inductance));
            put(&PICKUP_INDUCTANCE, value, &mut source.henries, "pickup")?;
        }
    }
    Ok(source)
}

fn load(chain: &Chain, place: &str) -> Result<(Load, Chain), CircuitError> {
    let (knobs, rest) = Knobs::take(chain);
    let mut load = Load::NONE;
    put(&INPUT, knobs.input.map(|value| (value.ohms(), value)), &mut load.ohms, place)?;
    let capacitance = knobs.capacitance.map(|value| (picofarads(value), value));
    put(&INPUT_CAPACITANCE, capacitance, &mut load.picofarads, place)?;
    put(&PRIMARY, knobs.primary.map(|value| (value.henries(), value)), &mut load.henries, place)?;
    put(&CABLE, knobs.cable.map(|value| (value.metres(), value)), &mut load.cable_metres, place)?;
    Ok((load, rest))
}

/// Stores a value, if there is one, given as it is stored and as it is written.
fn put(
    quantity: &Quantity,
    value: Option<(f64, impl fmt::Display)>,
    to: &mut f32,
    place: &str,
) -> Result<(), CircuitError> {
    value.map_or(Ok(()), |(stored, given)| quantity.store(stored, format!("{given:.4}"), to, place))
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
