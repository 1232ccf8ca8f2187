//! The values of a take and of its setups that are turned, as they are stored (see `shown`).

use dsp_core::circuit::{Element, Knobs, Pickups};

use super::{SETUPS, shown};

/// Of all circuits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Values {
    pub source: Source,
    /// What the take was recorded through. There is no parameter for its cable.
    pub through: Load,
    pub setups: [Load; SETUPS],
}

/// Of the first pickup; the one that its element does not have counts for nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Source {
    pub picofarads: f32,
    pub henries: f32,
}

/// Of what a take is, or is to be, heard through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Load {
    /// Of the box that is listened to; the top of the range is "none".
    pub ohms: f32,
    pub picofarads: f32,
    /// Of its transformer's primary; without one it counts for nothing.
    pub henries: f32,
    pub cable_metres: f32,
}

impl Source {
    /// Typical ones of either kind (common practice, no source).
    pub const DEFAULT: Self = Self { picofarads: 680.0, henries: 4.7 };
}

impl Load {
    /// No load; the inductance is a typical one (common practice, no source).
    pub const NONE: Self =
        Self { ohms: shown::RESISTANCE_OHMS.1, picofarads: 0.0, henries: 47.0, cable_metres: 0.0 };

    const fn resistance(ohms: f32) -> Self {
        Self { ohms, ..Self::NONE }
    }

    /// What is computed with.
    pub fn knobs(&self) -> Knobs {
        Knobs {
            input: shown::resistance(self.ohms),
            capacitance: shown::shunt_capacitance(self.picofarads),
            cable: shown::cable(self.cable_metres),
            primary: shown::primary_inductance(self.henries),
        }
    }
}

impl Values {
    /// The defaults of format 1. A state of that format that lacks a value means these.
    pub const FORMAT_1: Self = Self {
        source: Source::DEFAULT,
        through: Load::resistance(22e6),
        setups: [
            Load::resistance(56e3),
            Load::resistance(470e3),
            Load::resistance(1e6),
            // 1 MΩ in parallel with 470 kΩ.
            Load::resistance(319_727.9),
            Load { cable_metres: 6.0, ..Load::resistance(470e3) },
            Load::resistance(10e6),
        ],
    };
}

impl Source {
    /// Puts the value into the first pickup, within the same tolerance.
    pub fn drive(&self, pickups: &mut Pickups) {
        match &mut pickups.pickup_mut(0).element {
            Element::Capacitive(element) => {
                if let Some(capacitance) = shown::pickup_capacitance(self.picofarads) {
                    element.capacitance = capacitance.with_tolerance(element.capacitance.tolerance());
                }
            }
            Element::Magnetic(element) => {
                if let Some(inductance) = shown::coil_inductance(self.henries) {
                    element.inductance = inductance.with_tolerance(element.inductance.tolerance());
                }
            }
        }
    }
}
