//! From steps to what is told.

use dsp_core::circuit::Cable;
use dsp_core::units::Resistance;

use super::Toggle;
use super::chart::chart;
use super::circuit::Circuit;
use super::profile::Evidence;
use super::verdict::{Sought, Unsure, is_wide, judge};
use crate::beside::{Beside, Known, shown};
use crate::{Estimate, Found, Measured, Refusal};

/// Where capacitances and resistances are looked for, in SI units, and at how many values: two and five per cent apart.
const FARADS: (f64, f64, usize) = (40e-12, 30e-9, 335);
const OHMS: (f64, f64, usize) = (1e3, 10e6, 185);

/// What a box and its lead may have beside their resistance, in farads.
const BOX_FARADS: [f64; 5] = [0.0, 50e-12, 100e-12, 200e-12, 400e-12];

/// What is less likely by more, as a logarithm, is no longer among 95 of 100: half of what chi-square with one degree of freedom has there.
const CLOSE: f64 = 1.92;

/// An input of more can hardly be told from none.
const MOST_OHMS: f64 = 800e3;

/// A refusal as what was measured: nothing.
pub(crate) fn measured(measure: impl FnOnce() -> Result<Measured, Refusal>) -> Measured {
    measure().unwrap_or_else(|refusal| Measured {
        found: Found::default(),
        refused: Some(refusal),
        remarks: Vec::new(),
        chart: Vec::new(),
    })
}

/// The capacitance that groups of steps tell.
pub(crate) fn capacitance<E: Evidence>(
    groups: &[E],
    loads: &Toggle,
    cable: Option<&Cable>,
) -> Result<Measured, Refusal> {
    let (load_a, added) = (Beside::new(&loads.load_a)?, Beside::new(&loads.added)?);
    if added == Beside::default() {
        return Err(Refusal::NothingAdded);
    }
    let cable_itself = cable.map(Beside::of_cable).unwrap_or_default();
    let always = load_a.plus(cable_itself);
    let circuit = Circuit {
        total_farads: 0.0,
        siemens: always.siemens.value,
        added_siemens: added.siemens.value,
        added_farads: added.farads.value,
    };
    let set = |circuit: &Circuit, farads| Circuit { total_farads: farads, ..*circuit };
    let unsure = [
        Unsure::new(always.siemens, |siemens| Circuit { siemens, ..circuit }),
        Unsure::new(added.siemens, |added_siemens| Circuit { added_siemens, ..circuit }),
        Unsure::new(added.farads, |added_farads| Circuit { added_farads, ..circuit }),
    ];
    let (total, found) = judge(groups, &circuit, &unsure, &Sought { range: FARADS, set: &set })?;
    if is_wide(&total) {
        return Err(Refusal::CapacitanceWide { low: shown(total.low), high: shown(total.high) });
    }
    let mut remarks = vec![counted(groups)];
    let mut values = Found { total_capacitance_f: Some(total), ..Found::default() };
    if always.farads == Known::default() {
        remarks.push(
            "This is the pickup with its cable and whatever else is across it: say the cable, and it is taken off.".to_owned(),
        );
    } else {
        remarks.push(taken_off(loads, cable, always.farads));
        match without(&total, always.farads) {
            Ok(alone) => values.capacitance_f = Some(alone),
            Err(remark) => remarks.push(remark),
        }
    }
    let chart = chart(groups, &set(&circuit, total.value), &found.scatter);
    Ok(Measured { found: values, refused: None, remarks, chart })
}

/// The input that groups of steps tell, with all that is always there.
pub(crate) fn input<E: Evidence>(groups: &[E], always: &Beside) -> Result<Measured, Refusal> {
    let set = |circuit: &Circuit, ohms: f64| Circuit { added_siemens: ohms.recip(), ..*circuit };
    let fits: Vec<_> = BOX_FARADS
        .into_iter()
        .map(|added_farads| {
            let circuit = Circuit {
                total_farads: always.farads.value,
                siemens: always.siemens.value,
                added_siemens: 0.0,
                added_farads,
            };
            let unsure = [
                Unsure::new(always.siemens, |siemens| Circuit { siemens, ..circuit }),
                Unsure::new(always.farads, |total_farads| Circuit { total_farads, ..circuit }),
            ];
            let (ohms, found) = judge(groups, &circuit, &unsure, &Sought { range: OHMS, set: &set })?;
            Ok((ohms, found, circuit))
        })
        .collect();
    let good = || fits.iter().flatten();
    let Some((best, found, circuit)) =
        good().max_by(|a, b| a.1.log_likelihood.total_cmp(&b.1.log_likelihood))
    else {
        return Err(fits.into_iter().find_map(Result::err).expect("none is good"));
    };
    let close = || good().filter(|fit| fit.1.log_likelihood > found.log_likelihood - CLOSE);
    let ohms = Estimate {
        low: close().fold(best.low, |low, fit| low.min(fit.0.low)),
        high: close().fold(best.high, |high, fit| high.max(fit.0.high)),
        ..*best
    };
    if ohms.value > MOST_OHMS {
        return Err(Refusal::InputTooHigh);
    }
    if is_wide(&ohms) {
        return Err(Refusal::InputWide { low: shown_ohms(ohms.low), high: shown_ohms(ohms.high) });
    }
    let remarks = vec![
        counted(groups),
        "The box was taken for a resistance, with up to 400 pF beside it: a transformer or a blocking capacitor in it would show in a sweep.".to_owned(),
    ];
    let chart = chart(groups, &set(circuit, ohms.value), &found.scatter);
    Ok(Measured {
        found: Found { input_ohms: Some(ohms), ..Found::default() },
        refused: None,
        remarks,
        chart,
    })
}

/// What is left of a total without something of it.
fn without(total: &Estimate, part: Known) -> Result<Estimate, String> {
    let value = total.value - part.value;
    let low = value - (total.value - total.low).hypot(part.above);
    let high = value + (total.high - total.value).hypot(part.below);
    let alone = Estimate { value, low, high };
    if value > 0.0 && !is_wide(&alone) {
        return Ok(alone);
    }
    Err(format!(
        "What is left for the pickup alone, at most {:.2}, is too little beside what was taken off: use a shorter cable, or one of which the \
         capacitance is known.",
        shown(high.max(1e-12))
    ))
}

fn counted<E: Evidence>(groups: &[E]) -> String {
    let partials: usize = groups.iter().map(|group| group.steps().len()).sum();
    format!("{} switches could be used, with {partials} steps in level.", groups.len())
}

fn taken_off(loads: &Toggle, cable: Option<&Cable>, farads: Known) -> String {
    let cable = cable.map(|cable| format!("{} of cable", cable.length));
    let load = (!Beside::new(&loads.load_a).is_ok_and(|load| load.farads == Known::default()))
        .then(|| format!("the capacitance in {}", loads.load_a));
    let parts: Vec<String> = cable.into_iter().chain(load).collect();
    format!(
        "Taken off for {}: {:.3}, give or take {:.2}.",
        parts.join(" and "),
        shown(farads.value),
        shown(farads.above.max(farads.below).max(1e-15))
    )
}

fn shown_ohms(ohms: f64) -> Resistance {
    Resistance::from_ohms(ohms.clamp(Resistance::LOWEST, Resistance::HIGHEST)).expect("between the ends")
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;
    use crate::toggle::likelihood::{Group, Step};

    /// Eight switches whose steps are a circuit's to the last digit.
    fn groups(circuit: &Circuit) -> Vec<Group> {
        let step = |hz: f64| Step { hz, nepers: circuit.step(hz), variance: 1e-4 };
        let note =
            |number: u32| Group::new((1..20).map(|n| step(f64::from(n * (40 + 9 * number)))).collect());
        (0..8).map(note).collect()
    }

    fn pickup(
        total_farads: f64,
        load_a: &str,
        added: &str,
        cable: Option<&str>,
    ) -> Result<Measured, Refusal> {
        let circuit = Circuit { total_farads, siemens: 1e-6, added_siemens: 1.0 / 56e3, added_farads: 0.0 };
        let loads = Toggle { load_a: load_a.parse().expect("a load"), added: added.parse().expect("a load") };
        let cable = cable.map(|length| Cable::new(length.parse().expect("a length")));
        capacitance(&groups(&circuit), &loads, cable.as_ref())
    }

    #[test]
    fn what_was_put_in_is_found_and_what_is_beside_it_taken_off() {
        let bare = pickup(980e-12, "1M", "56k", None).expect("clean").found;
        let total = bare.total_capacitance_f.expect("found");
        assert_relative_eq!(total.value, 980e-12, max_relative = 2e-3);
        assert_eq!(bare.capacitance_f, None);
        // Three metres of 100 pF (common practice, no source), however they are said.
        for (load_a, cable) in [("1M", Some("3 m")), ("1M || 3 m", None), ("1M || 2 m", Some("1 m"))] {
            let found = pickup(980e-12, load_a, "56k", cable).expect("clean").found;
            assert_eq!(found.total_capacitance_f, Some(total));
            let alone = found.capacitance_f.expect("found");
            assert_relative_eq!(alone.value, total.value - 300e-12, max_relative = 1e-9);
            assert!(alone.high - alone.low > total.high - total.low);
        }
    }

    #[test]
    fn a_wrong_resistor_scales_the_capacitance() {
        // w R C stays the same.
        let found = pickup(680e-12, "2M", "112k", None).expect("clean").found;
        let total = found.total_capacitance_f.expect("found");
        assert_relative_eq!(total.value, 340e-12, max_relative = 2e-3);
    }

    #[test]
    fn tolerances_of_loads_widen_the_interval() {
        let half = |added| {
            let total = pickup(680e-12, "1M", added, None).expect("clean").found.total_capacitance_f;
            total.map(|total| (total.high / total.low).ln() / 2.0).expect("found")
        };
        let (exact, wide) = (half("56k"), half("56k ±10 %"));
        // Where the resistor's corner decides, C goes with 1/R: two standard deviations of ±10 %, beside what was there.
        assert_relative_eq!(wide.hypot(0.0), exact.hypot(0.1155), max_relative = 0.15);
    }

    #[test]
    fn what_a_cable_is_most_of_has_no_value_alone() {
        let measured = pickup(700e-12, "1M", "56k", Some("6 m")).expect("clean");
        assert_eq!(measured.found.capacitance_f, None);
        assert!(measured.remarks.concat().contains("too little beside"), "{:?}", measured.remarks);
    }

    #[test]
    fn what_cannot_be_told_is_refused() {
        let refused = |total, added| pickup(total, "1M", added, None).expect_err("refused");
        assert_eq!(refused(680e-12, "none"), Refusal::NothingAdded);
        assert_eq!(refused(30e-9, "56k"), Refusal::NoEnd);
        assert!(matches!(refused(680e-12, "56k ±90 %"), Refusal::CapacitanceWide { .. }));
        let circuit =
            Circuit { total_farads: 680e-12, siemens: 0.0, added_siemens: 0.0, added_farads: 680e-12 };
        let loads =
            Toggle { load_a: "none".parse().expect("a load"), added: "680p".parse().expect("a load") };
        assert_eq!(capacitance(&groups(&circuit), &loads, None), Err(Refusal::FlatStep));
        let circuit = Circuit { added_farads: 0.0, ..circuit };
        assert_eq!(capacitance(&groups(&circuit), &loads, None), Err(Refusal::NothingSwitched));
    }

    #[test]
    fn a_box_is_found_up_to_800_kilohms() {
        let of = |ohms: f64, pickup: &str| {
            let circuit = Circuit {
                total_farads: 680e-12,
                siemens: 1e-6,
                added_siemens: 1.0 / ohms,
                added_farads: 0.0,
            };
            let always = Beside::new(&format!("1M || {pickup}").parse().expect("a load")).expect("plain");
            input(&groups(&circuit), &always)
        };
        for ohms in [56e3, 470e3] {
            let found = of(ohms, "680p ±5 %").expect("clean").found.input_ohms.expect("found");
            assert_relative_eq!(found.value, ohms, max_relative = 1e-2);
            assert!(found.low < ohms && ohms < found.high);
        }
        assert_eq!(of(2e6, "680p"), Err(Refusal::InputTooHigh));
        assert!(matches!(of(470e3, "680p ±90 %"), Err(Refusal::InputWide { .. })));
    }
}
