//! A preset with the values that parameters hold.

use dsp_core::circuit::{Chain, Element, Knobs, Link};
use dsp_core::preset::Preset;

use crate::sound::shown;
use crate::sound::values::{Load, Source, Values};

/// The preset with the parameters' values put in. A value that its parameter shows as the same stays as it was written.
pub(super) fn held(preset: &Preset, values: &Values) -> Preset {
    let mut preset = preset.clone();
    let mut pickups = preset.pickups;
    values.source.drive(&mut pickups);
    if shown_source(&preset) != *pickups_element(&pickups) {
        preset.pickups = pickups;
    }
    preset.recorded = put(&preset.recorded, &values.through, true);
    for (setup, load) in preset.setups.iter_mut().zip(&values.setups) {
        setup.chain = put(&setup.chain, load, false);
    }
    preset
}

/// The preset with its values as parameters show them; a load expression of several parts of a kind stays as it was written.
pub(super) fn rounded(preset: &Preset) -> Preset {
    let mut preset = preset.clone();
    preset.pickups.pickup_mut(0).element = shown_source(&preset);
    preset.recorded = round(&preset.recorded);
    preset.setups.iter_mut().for_each(|setup| setup.chain = round(&setup.chain));
    preset
}

const fn pickups_element(pickups: &dsp_core::circuit::Pickups) -> &Element {
    &pickups.pickup(0).element
}

/// The first pickup's element, with its value as the parameter shows it.
fn shown_source(preset: &Preset) -> Element {
    let mut pickups = preset.pickups;
    let source = match *pickups_element(&pickups) {
        Element::Capacitive(element) => {
            Source { picofarads: narrow(element.capacitance.farads() * 1e12), ..Source::DEFAULT }
        }
        Element::Magnetic(element) => {
            Source { henries: narrow(element.inductance.henries()), ..Source::DEFAULT }
        }
    };
    source.drive(&mut pickups);
    *pickups_element(&pickups)
}

/// There is no parameter for the cable that the take was recorded through.
fn put(chain: &Chain, load: &Load, keeps_cable: bool) -> Chain {
    let (own, _) = Knobs::take(chain);
    let same = shown_values(&own);
    let now = load.knobs();
    let knobs = Knobs {
        input: if same.input == now.input { own.input } else { now.input },
        capacitance: if same.capacitance == now.capacitance { own.capacitance } else { now.capacitance },
        cable: if keeps_cable || same.cable == now.cable { own.cable } else { now.cable },
        primary: if same.primary == now.primary { own.primary } else { own.primary.and(now.primary) },
    };
    knobs.put(chain)
}

fn round(chain: &Chain) -> Chain {
    let of_kind = |kind: fn(&Link) -> bool| chain.loading().filter(|link| kind(link)).count();
    let several = of_kind(|link| matches!(link, Link::Resistance(_))) > 1
        || of_kind(|link| matches!(link, Link::Capacitance(_))) > 1;
    if several { chain.clone() } else { shown_values(&Knobs::take(chain).0).put(chain) }
}

/// As parameters show them.
fn shown_values(own: &Knobs) -> Knobs {
    Knobs {
        input: own.input.and_then(|value| shown::resistance(narrow(value.ohms()))),
        capacitance: own
            .capacitance
            .and_then(|value| shown::shunt_capacitance(narrow(value.farads() * 1e12))),
        cable: own.cable.and_then(|value| shown::cable(narrow(value.metres()))),
        primary: own.primary.and_then(|value| shown::primary_inductance(narrow(value.henries()))),
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the precision in which hosts keep parameters")]
fn narrow(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::host::preset;

    const WITHIN: &str = "version = 4
        name = 'within'
        pickup = { capacitance = '680 pF ±30 %' }
        recorded = { load = '22M ±5 %' }
        [[setup]]
        name = 'tuner'
        chain = [
            { cable = '3 m ±10 %', per_metre = '100 pF ±20 %' },
            { box = 'tuner', input = '1MM', capacitance = '47p ±5 %' },
        ]
        [[setup]]
        name = 'passive'
        chain = [{ box = 'b', transformer = { primary = '47 H ±50 %', ratio = '12', secondary = '1k5 ±5 %' } }]";

    /// What the host moves keeps its percentage, what it does not stays as it was written.
    #[test]
    fn parameters_move_values_within_their_tolerance() {
        let preset = Preset::from_toml(WITHIN).unwrap();
        let (_, mut values) = preset::read(WITHIN).unwrap();
        assert_eq!(held(&preset, &values), preset);
        values.source.picofarads = 470.0;
        values.through.ohms = 10e6;
        (values.setups[0].ohms, values.setups[0].picofarads) = (470e3, 100.0);
        values.setups[0].cable_metres = 6.0;
        (values.setups[1].henries, values.setups[1].ohms) = (33.0, 144e3);
        let text = held(&preset, &values).to_toml();
        for said in [
            "470 pF ±30 %",
            "10 MΩ ±5 %",
            "{ cable = \"6 m ±10 %\", per_metre = \"100 pF ±20 %\" }",
            "input = \"470 kΩ ±20 %\", capacitance = \"100 pF ±5 %\"",
            "primary = \"33 H ±50 %\", ratio = \"12\", secondary = \"1 kΩ ±5 %\"",
        ] {
            assert!(text.contains(said), "{said}\n{text}");
        }
    }

    /// Tolerances are told, not heard.
    #[test]
    fn the_middle_is_heard() {
        let without = ["±30 %", "±20 %", "±10 %", "±50 %", "±5 %"]
            .iter()
            .fold(WITHIN.replace("1MM", "1M"), |text, tolerance| text.replace(&format!(" {tolerance}"), ""));
        assert!(!without.contains('±'));
        let ((_, one), (_, other)) = (preset::read(WITHIN).unwrap(), preset::read(&without).unwrap());
        assert_eq!(one, other);
    }
}
