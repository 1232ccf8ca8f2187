//! What a capacitance meter's reading says of a pickup.

use std::f64::consts::PI;

use dsp_core::circuit::Cable;
use dsp_core::units::{Capacitance, Resistance};

use crate::beside::{Beside, Known};
use crate::{Estimate, Found, Measured, Refusal};

/// What a handheld meter may be off by, in per cent, where its manual is not at hand (common practice, no source).
const USUAL_ERROR_PERCENT: f64 = 3.0;

/// What a meter's error may be said to be, in per cent.
const MOST_ERROR_PERCENT: f64 = 50.0;

/// Frequencies that meters measure with, in Hz.
const LOWEST_HZ: f64 = 10.0;
const HIGHEST_HZ: f64 = 10e6;

/// Between these, in Hz, is what a low string asks for.
const BASS_HZ: (f64, f64) = (80.0, 2e3);

/// A leak is told of that would raise a reading by this part.
const RAISED: f64 = 0.05;

/// A capacitance meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meter {
    /// The frequency that it measures with, in Hz.
    pub at_hz: f64,
    /// The error that its manual says, to either side, in per cent of the reading; 3 if nothing is said.
    pub error_percent: Option<f64>,
}

/// The capacitance of a pickup from a meter's reading, with the cable that it was read through taken off.
pub fn pickup(reading: &Capacitance, meter: &Meter, cable: Option<&Cable>) -> Measured {
    match found(reading, meter, cable) {
        Ok(found) => {
            Measured { found, refused: None, remarks: remarks(reading, meter, cable), chart: Vec::new() }
        }
        Err(refusal) => Measured {
            found: Found::default(),
            refused: Some(refusal),
            remarks: Vec::new(),
            chart: Vec::new(),
        },
    }
}

fn found(reading: &Capacitance, meter: &Meter, cable: Option<&Cable>) -> Result<Found, Refusal> {
    let percent = meter.error_percent.unwrap_or(USUAL_ERROR_PERCENT);
    if !(LOWEST_HZ..=HIGHEST_HZ).contains(&meter.at_hz) {
        return Err(Refusal::MeterFrequency { hz: meter.at_hz });
    }
    if !(0.0..=MOST_ERROR_PERCENT).contains(&percent) {
        return Err(Refusal::MeterError { percent });
    }
    let total = Beside::of_capacitance(*reading).farads;
    let off = percent / 100.0 * total.value;
    let error = Known::within(0.0, (-off, off));
    let cable = cable.map(|cable| Beside::of_cable(cable).farads).unwrap_or_default();
    let total = total.plus(error);
    let alone = total.plus(cable.negative());
    if alone.value - alone.below <= 0.0 {
        return Err(Refusal::NothingBesideCable);
    }
    let [total_capacitance_f, capacitance_f] = [total, alone].map(|known| Some(estimate(known)));
    Ok(Found { capacitance_f, total_capacitance_f, ..Found::default() })
}

fn estimate(known: Known) -> Estimate {
    let Known { value, below, above } = known;
    Estimate { value, low: value - below, high: value + above }
}

fn remarks(reading: &Capacitance, meter: &Meter, cable: Option<&Cable>) -> Vec<String> {
    let Meter { at_hz, error_percent } = *meter;
    let mut all = vec![match error_percent {
        Some(percent) => format!("The meter's error was said to be ±{percent} %."),
        None => {
            format!("The meter's error was taken for ±{USUAL_ERROR_PERCENT} %: its manual says which it is.")
        }
    }];
    all.push(match cable {
        Some(cable) => {
            format!("Taken off for {} of cable: {:.3}.", cable.length, Beside::of_cable(cable).shown_farads())
        }
        None => "No cable was said, so that one which it was read through counts as the pickup's.".to_owned(),
    });
    // In series a resistance R beside C reads as C (1 + 1/(wRC)²).
    let leak = 1.0 / (2.0 * PI * at_hz * reading.farads() * RAISED.sqrt());
    if let Ok(leak) = Resistance::from_ohms(leak) {
        all.push(format!(
            "Of a leaky pickup a meter that shows series capacitance reads too much: with {leak:.2} of leakage {} % at this frequency. Set it to \
             parallel, if it can be.",
            100.0 * RAISED
        ));
    }
    all.push(
        "A pickup that resonates mechanically has less capacitance above its resonances than below, and near one a reading may be off either \
         way; measure it as it is mounted."
            .to_owned(),
    );
    if !(BASS_HZ.0..=BASS_HZ.1).contains(&at_hz) {
        all.push(
            "Low strings depend on what the pickup has between 100 Hz and 1 kHz: if the meter can, read it there too.".to_owned(),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    fn read(reading: &str, error_percent: Option<f64>, cable: Option<&str>) -> Measured {
        let cable = cable.map(|length| Cable::new(length.parse().expect("a length")));
        let meter = Meter { at_hz: 1e3, error_percent };
        pickup(&reading.parse().expect("a capacitance"), &meter, cable.as_ref())
    }

    #[test]
    fn the_cable_and_its_spread_are_taken_off() {
        // 3 m of 100 pF/m ±30 %; two standard deviations of an even spread are 2/√3 of its half.
        let measured = read("980p", Some(2.0), Some("3 m"));
        let alone = measured.found.capacitance_f.expect("found");
        let half = (19.6f64.powi(2) + 90f64.powi(2)).sqrt() * 1e-12 * 2.0 / 3f64.sqrt();
        assert_relative_eq!(alone.value, 680e-12, max_relative = 1e-12);
        assert_relative_eq!(alone.low, 680e-12 - half, max_relative = 1e-9);
        assert_relative_eq!(alone.high, 680e-12 + half, max_relative = 1e-9);
        let total = measured.found.total_capacitance_f.expect("found");
        assert_relative_eq!(total.value, 980e-12, max_relative = 1e-12);
    }

    #[test]
    fn a_leak_is_told_with_its_size() {
        // 680 pF at 1 kHz are 234 kΩ; a fifth more than four times that raises a series reading by (1/4.47)² = 5 %.
        let remarks = read("680p", None, None).remarks.join(" ");
        assert!(remarks.contains("1 MΩ of leakage 5 %"), "{remarks}");
        assert!(remarks.contains("taken for ±3 %"), "{remarks}");
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert_eq!(read("400p", None, Some("4 m")).refused, Some(Refusal::NothingBesideCable));
        assert_eq!(read("400p", Some(80.0), None).refused, Some(Refusal::MeterError { percent: 80.0 }));
        let meter = Meter { at_hz: 0.0, error_percent: None };
        let refused = pickup(&"400p".parse().expect("a capacitance"), &meter, None).refused;
        assert_eq!(refused, Some(Refusal::MeterFrequency { hz: 0.0 }));
    }
}
