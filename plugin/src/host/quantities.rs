//! The quantities that parameters hold: one row each, from which parameters are made and presets parted; and which parameter
//! holds which value, from which values are read, states repaired and edits told.

use std::sync::Arc;

use dsp_core::units::{Capacitance, Inductance, Length, Resistance};
use nice_plug::prelude::*;

use super::params::FirstjackParams;
use super::preset::CircuitError;
use super::text;
use crate::sound::shown;
use crate::sound::values::Values;

/// What a parameter holds of a kind.
pub(crate) struct Quantity {
    /// As a refusal calls it.
    what: &'static str,
    /// As it is stored.
    range: (f32, f32),
    /// Of wide ranges it makes the middle of the travel fall near the middle of their decades.
    factor: f32,
    /// What is computed with, in the unit that is stored; nothing where that is "none".
    shown: fn(f32) -> Option<f64>,
    /// The least and the most that is something, in the unit that is stored.
    accepted: (f32, f32),
    write: fn(f32) -> String,
    read: fn(&str) -> Option<f32>,
}

pub(crate) const PICKUP_CAPACITANCE: Quantity = Quantity {
    what: "the capacitance",
    range: shown::PICKUP_PICOFARADS,
    factor: 0.2,
    shown: |stored| shown::pickup_capacitance(stored).map(picofarads),
    accepted: shown::PICKUP_PICOFARADS,
    write: text::pickup_capacitance,
    read: text::read_pickup_capacitance,
};
pub(crate) const PICKUP_INDUCTANCE: Quantity = Quantity {
    what: "the inductance",
    range: shown::COIL_HENRIES,
    factor: 0.2,
    shown: |stored| shown::coil_inductance(stored).map(Inductance::henries),
    accepted: shown::COIL_HENRIES,
    write: text::coil_inductance,
    read: text::read_inductance,
};
pub(crate) const INPUT: Quantity = Quantity {
    what: "the input resistance",
    range: shown::RESISTANCE_OHMS,
    factor: 0.125,
    shown: |stored| shown::resistance(stored).map(Resistance::ohms),
    accepted: (shown::RESISTANCE_OHMS.0, 999.9e6),
    write: text::resistance,
    read: text::read_resistance,
};
pub(crate) const INPUT_CAPACITANCE: Quantity = Quantity {
    what: "the input capacitance",
    range: shown::SHUNT_PICOFARADS,
    factor: 0.25,
    shown: |stored| shown::shunt_capacitance(stored).map(picofarads),
    accepted: (0.1, shown::SHUNT_PICOFARADS.1),
    write: text::shunt_capacitance,
    read: text::read_shunt_capacitance,
};
pub(crate) const PRIMARY: Quantity = Quantity {
    what: "the primary inductance",
    range: shown::PRIMARY_HENRIES,
    factor: 0.25,
    shown: |stored| shown::primary_inductance(stored).map(Inductance::henries),
    accepted: shown::PRIMARY_HENRIES,
    write: text::primary_inductance,
    read: text::read_inductance,
};
pub(crate) const CABLE: Quantity = Quantity {
    what: "the cable, at 100 pF a metre,",
    range: shown::CABLE_METRES,
    factor: 0.5,
    shown: |stored| shown::cable(stored).map(Length::metres),
    accepted: (0.01, shown::CABLE_METRES.1),
    write: text::cable,
    read: text::read_cable,
};
pub(crate) const LEVEL: Quantity = Quantity {
    what: "the gain",
    range: shown::LEVEL_DB,
    factor: 1.0,
    shown: |stored| Some(shown::level_db(stored)),
    accepted: shown::LEVEL_DB,
    write: text::level,
    read: text::read_level,
};
pub(crate) const CEILING: Quantity = Quantity {
    what: "the boost limit",
    range: shown::CEILING_DB,
    factor: 1.0,
    shown: |stored| shown::ceiling(stored, true).db(),
    accepted: (shown::CEILING_DB.0, shown::MOST_CEILING_DB),
    write: text::ceiling,
    read: text::read_ceiling,
};
pub(crate) const FLOOR: Quantity = Quantity {
    what: "the undo floor",
    range: shown::FLOOR_HZ,
    factor: 0.5,
    shown: |stored| shown::floor(stored).map(|floor| floor.hz),
    accepted: (shown::LEAST_FLOOR_HZ, shown::FLOOR_HZ.1),
    write: text::floor,
    read: text::read_floor,
};

/// What a capacitance is stored as.
pub(crate) fn picofarads(value: Capacitance) -> f64 {
    value.farads() * 1e12
}

impl Quantity {
    /// A parameter of this kind.
    pub fn param(&self, name: impl Into<String>, default: f32) -> FloatParam {
        let (min, max) = self.range;
        let range = FloatRange::Skewed { min, max, factor: self.factor };
        FloatParam::new(name, default.clamp(min, max), range)
            .with_value_to_string(Arc::new(self.write))
            .with_string_to_value(Arc::new(self.read))
    }

    /// Stores a value, in the unit that is stored, in four digits; `given` is how the trade writes it.
    ///
    /// # Errors
    /// If the parameter cannot hold it.
    pub fn store(&self, value: f64, given: String, to: &mut f32, place: &str) -> Result<(), CircuitError> {
        #[expect(clippy::cast_possible_truncation, reason = "parameters are kept in f32")]
        let stored = value as f32;
        if !(self.shown)(stored).is_some_and(|shown| (shown - value).abs() <= 1e-3 * value) {
            let (what, place) = (self.what, place.to_owned());
            return Err(CircuitError::OutOfRange { place, what, given, accepted: self.accepted() });
        }
        *to = stored;
        Ok(())
    }

    /// The least and the most, as the trade writes them.
    fn accepted(&self) -> String {
        let (low, high) = self.accepted;
        format!("{} to {}", (self.write)(low), (self.write)(high))
    }
}

/// Each value of the circuits with the parameter that holds it. Real-time safe.
pub(crate) fn held<'a>(
    params: &'a FirstjackParams,
    values: &'a mut Values,
) -> impl Iterator<Item = (&'a FloatParam, &'a mut f32)> {
    let (take, Values { source, through, setups }) = (&params.take, values);
    let setups = params.setups.iter().zip(setups).flat_map(|(params, load)| {
        [
            (&params.ohms, &mut load.ohms),
            (&params.picofarads, &mut load.picofarads),
            (&params.henries, &mut load.henries),
            (&params.cable_metres, &mut load.cable_metres),
        ]
    });
    // There is no parameter for the cable that the take was recorded through.
    let take = [
        (&take.pickup_picofarads, &mut source.picofarads),
        (&take.pickup_henries, &mut source.henries),
        (&take.through_ohms, &mut through.ohms),
        (&take.through_picofarads, &mut through.picofarads),
        (&take.through_henries, &mut through.henries),
    ];
    take.into_iter().chain(setups)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five points of each travel, in plain units, as the first version with each quantity had them: for ever, since states and automation
    /// of every version depend on them.
    const TRAVELS: [(&str, [f32; 5]); 10] = [
        ("pickup_c", [100.0, 197.5586, 3_221.875, 23_806.738, 100_000.0]),
        ("pickup_l", [0.01, 0.107_646_48, 3.134_687_4, 23.738_096, 100.0]),
        ("through_r", [1_000.0, 16_258.773, 3_907_246.0, 100_113_816.0, 1e9]),
        ("through_c", [0.0, 39.0625, 625.0, 3164.0625, 10_000.0]),
        ("through_l", [0.1, 4.005_859_4, 62.593_75, 316.474_6, 1_000.0]),
        ("ceiling", [6.0, 19.5, 33.0, 46.5, 60.0]),
        ("floor", [0.0, 12.5, 50.0, 112.5, 200.0]),
        ("trim", [-24.0, -12.0, 0.0, 12.0, 24.0]),
        ("output", [-24.0, -12.0, 0.0, 12.0, 24.0]),
        ("cable", [0.0, 6.25, 25.0, 56.25, 100.0]),
    ];

    /// Defaults of the setups, as `presets/courtyard.toml` has them.
    const SETUPS: [[f32; 4]; 6] = [
        [56e3, 0.0, 47.0, 0.0],
        [470e3, 0.0, 47.0, 0.0],
        [1e6, 0.0, 47.0, 0.0],
        [470e3, 0.0, 47.0, 0.0],
        [470e3, 0.0, 47.0, 6.0],
        [10e6, 0.0, 47.0, 0.0],
    ];

    #[test]
    fn ids_ranges_and_defaults_stay_to_the_bit() {
        let travel = |id: &str| {
            // A setup's load has the travels of the one that was recorded through.
            let id = id
                .trim_end_matches(|c: char| c.is_ascii_digit())
                .trim_end_matches('_')
                .replace("load", "through");
            TRAVELS.iter().find(|(of, _)| *of == id).unwrap_or_else(|| panic!("{id}")).1
        };
        let take = [
            ("pickup_c", 680.0),
            ("pickup_l", 4.7),
            ("through_r", 22e6),
            ("through_c", 0.0),
            ("through_l", 47.0),
        ];
        let levels = [("ceiling", 24.0), ("floor", 0.0), ("trim", 0.0), ("output", 0.0)];
        let setups = (1..).zip(SETUPS).flat_map(|(number, defaults)| {
            let ids = ["load_r", "load_c", "load_l", "cable"];
            ids.into_iter().zip(defaults).map(move |(id, default)| (format!("{id}_{number}"), default))
        });
        let expected =
            take.into_iter().chain(levels).map(|(id, default)| (id.to_owned(), default)).chain(setups);
        let params = FirstjackParams::default();
        let floats = params.param_map().into_iter().filter_map(|(id, param, _)| match param {
            // SAFETY: the parameters live.
            ParamPtr::FloatParam(param) => Some((id, unsafe { &*param })),
            _ => None,
        });
        let floats: Vec<_> = floats.collect();
        assert_eq!(floats.len(), 33);
        for ((id, param), (expected, default)) in floats.iter().zip(expected) {
            assert_eq!((id, param.default_plain_value().to_bits()), (&expected, default.to_bits()));
            let travelled = [0.0, 0.25, 0.5, 0.75, 1.0].map(|at| param.preview_plain(at).to_bits());
            assert_eq!(travelled, travel(id).map(f32::to_bits), "{id}");
        }
    }

    /// What a refusal offers is what can be stored, to its ends.
    #[test]
    fn what_is_accepted_is_all_that_is() {
        for (quantity, told) in [
            (&PICKUP_CAPACITANCE, "100 pF to 100 nF"),
            (&PICKUP_INDUCTANCE, "10 mH to 100 H"),
            (&INPUT, "1 kΩ to 999.9 MΩ"),
            (&INPUT_CAPACITANCE, "0.1 pF to 10 nF"),
            (&PRIMARY, "100 mH to 1000 H"),
            (&CABLE, "0.01 m to 100 m"),
        ] {
            assert_eq!(quantity.accepted(), told);
            let holds = |value: f64| quantity.store(value, String::new(), &mut 0.0, "").is_ok();
            let (low, high) = (f64::from(quantity.accepted.0), f64::from(quantity.accepted.1));
            assert!(holds(low) && holds(high), "{told}");
            assert!(!holds(low * 0.99) && !holds(high * 1.01), "{told}");
        }
    }

    /// Each value has one parameter, and each parameter of a circuit one value.
    #[test]
    fn values_and_parameters_are_one_to_one() {
        let (params, mut values) = (FirstjackParams::default(), Values::FORMAT_1);
        let held: Vec<_> = held(&params, &mut values)
            .map(|(param, value)| (std::ptr::from_ref(param), std::ptr::from_ref(value)))
            .collect();
        for (index, one) in held.iter().enumerate() {
            assert!(held[..index].iter().all(|other| other.0 != one.0 && other.1 != one.1), "{index}");
        }
        assert_eq!(held.len(), 29);
    }
}
