//! The quantities inside of a document, each in its place, all alike to whoever types or turns them.

use std::str::FromStr;

use dsp_core::circuit::{Cable, Element, Input, Link, Pickups};
use dsp_core::units::{Capacitance, Inductance, Length, Ratio, Resistance, UnitError};

use crate::editor::document::edits::{LinkPart, PickupPart};

/// Steps in which a value doubles.
const STEPS_PER_OCTAVE: f64 = 12.0;

/// One quantity in its place, whichever it is.
pub(crate) trait Slot {
    /// As the trade writes it; `None` if it is absent.
    fn text(&self) -> Option<String>;

    /// As it was typed.
    fn set(&mut self, typed: &str) -> Result<(), String>;

    /// Some steps up or down.
    fn nudge(&mut self, steps: f64);
}

macro_rules! slot {
    ($name:ident, $getter:ident, $from:ident) => {
        impl Slot for $name {
            fn text(&self) -> Option<String> {
                Some(self.to_string())
            }

            fn set(&mut self, typed: &str) -> Result<(), String> {
                *self = typed.parse().map_err(|error: UnitError| error.to_string())?;
                Ok(())
            }

            fn nudge(&mut self, steps: f64) {
                let value = rounded(self.$getter() * (steps / STEPS_PER_OCTAVE).exp2());
                if let Ok(value) = Self::$from(value.clamp(Self::LOWEST, Self::HIGHEST)) {
                    *self = value.with_tolerance(self.tolerance());
                }
            }
        }
    };
}

slot!(Resistance, ohms, from_ohms);
slot!(Capacitance, farads, from_farads);
slot!(Inductance, henries, from_henries);
slot!(Length, metres, from_metres);
slot!(Ratio, value, from_value);

/// To three significant digits, in decimal, so that what is shown is short.
pub(crate) fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

impl<T: Slot + FromStr<Err = UnitError>> Slot for Option<T> {
    fn text(&self) -> Option<String> {
        self.as_ref().and_then(T::text)
    }

    fn set(&mut self, typed: &str) -> Result<(), String> {
        let read = |typed: &str| typed.parse().map_err(|error: UnitError| error.to_string());
        *self = if is_none(typed) { None } else { Some(read(typed)?) };
        Ok(())
    }

    fn nudge(&mut self, steps: f64) {
        if let Some(value) = self {
            value.nudge(steps);
        }
    }
}

/// The default becomes a value of its own, to start from.
pub(crate) fn say_per_metre(link: &mut Link) {
    if let Link::Cable(cable) = link
        && cable.per_metre.is_none()
    {
        cable.per_metre = Capacitance::from_farads(Cable::PER_METRE_FARADS).ok();
    }
}

/// A link's value.
pub(crate) fn link_slot(link: &mut Link, part: LinkPart) -> Option<&mut dyn Slot> {
    Some(match (link, part) {
        (Link::Cable(cable), LinkPart::Length) => &mut cable.length,
        (Link::Cable(cable), LinkPart::PerMetre) => &mut cable.per_metre,
        (Link::Cable(cable), LinkPart::Leakage) => &mut cable.leakage,
        (Link::Splitter(splitter), LinkPart::Resistor) => &mut splitter.resistor,
        (Link::Resistance(value), LinkPart::Bare) => value,
        (Link::Capacitance(value), LinkPart::Bare) => value,
        (Link::Inductance(value), LinkPart::Bare) => value,
        (Link::Box(input), LinkPart::Capacitance) => &mut input.capacitance,
        (Link::Box(input), LinkPart::Blocking) => &mut input.blocking,
        (Link::Box(input), part) => match (&mut input.input, part) {
            (Input::Resistance(value), LinkPart::Input) => value,
            (Input::Transformer(transformer), LinkPart::Primary) => &mut transformer.primary,
            (Input::Transformer(transformer), LinkPart::Winding) => &mut transformer.winding,
            (Input::Transformer(transformer), LinkPart::Ratio) => &mut transformer.ratio,
            (Input::Transformer(transformer), LinkPart::Secondary) => &mut transformer.secondary,
            (Input::Transformer(transformer), LinkPart::OwnCapacitance) => &mut transformer.capacitance,
            (Input::Transformer(transformer), LinkPart::Core) => &mut transformer.core,
            _ => return None,
        },
        _ => return None,
    })
}

/// A pickup's value.
pub(crate) fn pickup_slot(pickups: &mut Pickups, index: usize, part: PickupPart) -> Option<&mut dyn Slot> {
    if index >= pickups.count() {
        return None;
    }
    if part == PickupPart::Mixing {
        let Pickups::Blend(blend) = pickups else { return None };
        return blend.get_mut(index).map(|one| &mut one.mixing as &mut dyn Slot);
    }
    let pickup = pickups.pickup_mut(index);
    Some(match (&mut pickup.element, part) {
        (Element::Capacitive(element), PickupPart::Capacitance) => &mut element.capacitance,
        (Element::Capacitive(element), PickupPart::Leakage) => &mut element.leakage,
        (Element::Magnetic(element), PickupPart::Inductance) => &mut element.inductance,
        (Element::Magnetic(element), PickupPart::Resistance) => &mut element.resistance,
        (Element::Magnetic(element), PickupPart::Winding) => &mut element.winding,
        (Element::Magnetic(element), PickupPart::Loss) => &mut element.loss,
        (_, PickupPart::ToneResistance) => &mut pickup.tone.as_mut()?.resistance,
        (_, PickupPart::ToneCapacitance) => &mut pickup.tone.as_mut()?.capacitance,
        (_, PickupPart::VolumeResistance) => &mut pickup.volume.as_mut()?.resistance,
        _ => return None,
    })
}

/// Whether what was typed means that a part is not there.
pub(crate) fn is_none(typed: &str) -> bool {
    typed.trim().is_empty() || typed.trim().eq_ignore_ascii_case("none")
}
