//! How long a cable may be, against textbook formulas written out here.

use std::f64::consts::TAU;

use approx::assert_relative_eq;
use dsp_core::circuit::{Blended, Chain, Element, MagneticPickup, Pickup, Pickups, Polarity};
use dsp_core::preset::Preset;
use dsp_core::response::CableRun;
use dsp_core::units::Load;

fn run(pickup: &str, load: &str) -> CableRun {
    let pickup = Pickup::new(pickup.parse().unwrap());
    CableRun::new(&pickup.into(), &Chain::from(&load.parse::<Load>().unwrap()))
}

/// `(C_p + C) (10^(dB/20) - 1) / C'`, a divider of capacitances (textbook). What cable was there does not count.
#[test]
fn level_of_a_capacitive_pickup() {
    for (load, beside_farads) in [("470k", 0.0), ("56k || 6 m", 0.0), ("1M || 220p", 220e-12), ("none", 0.0)]
    {
        for db in [1.0, 3.0] {
            let metres = (680e-12 + beside_farads) * (10f64.powf(db / 20.0) - 1.0) / 100e-12;
            let found = run("680p", load).for_level(db).unwrap();
            assert_relative_eq!(found.metres(), metres, max_relative = 1e-9);
        }
    }
    assert!(run("680p", "1M").for_top(0.5).is_none(), "no cable takes its top");
}

/// The chain's own kind of cable is asked about, up to the first buffer.
#[test]
fn the_kind_of_the_first_cable_counts() {
    let text = r#"
        version = 1
        name = "x"
        pickup = { capacitance = "1 nF" }
        recorded = { load = "none" }
        [[setup]]
        name = "s"
        chain = [
            { cable = "1 m", per_metre = "150p" },
            { box = "buffer", input = "10M", capacitance = "100p", thru = "after" },
            { cable = "6 m", per_metre = "60p" },
            { box = "amplifier", input = "470k", capacitance = "1n" },
        ]
    "#;
    let preset = Preset::from_toml(text).unwrap();
    let run = CableRun::new(&preset.pickups, &preset.setups[0].chain);
    assert_eq!(run.per_metre(), "150p".parse().unwrap());
    let metres = 1.1e-9 * (10f64.powf(0.05) - 1.0) / 150e-12;
    assert_relative_eq!(run.for_level(1.0).unwrap().metres(), metres, max_relative = 1e-9);
    let dry = preset.setups[0].chain.without(0);
    assert_eq!(CableRun::new(&preset.pickups, &dry).per_metre(), "100p".parse().unwrap());
}

/// Where a coil of `R` and `L` into `C` and `R_L` has half the power it has at DC: a low-pass of second order with
/// `ω0² = (1 + R/R_L)/(L C)` and `Q = sqrt((1 + R/R_L) L C)/(R C + L/R_L)`; `(1 - x²)² + x²/Q² = 2` (textbook).
fn corner_hz(ohms: f64, henries: f64, farads: f64, load_ohms: f64) -> f64 {
    let (c0, c1, c2) = (1.0 + ohms / load_ohms, ohms * farads + henries / load_ohms, henries * farads);
    let q2 = c0 * c2 / c1.powi(2);
    let half = 1.0 - 0.5 / q2;
    (c0 / c2).sqrt() / TAU * (half + (half * half + 1.0).sqrt()).sqrt()
}

#[test]
fn top_of_a_magnetic_pickup() {
    let coil = MagneticPickup {
        inductance: "2.2 H".parse().unwrap(),
        resistance: "5k6".parse().unwrap(),
        winding: "100p".parse().ok(),
        loss: None,
    };
    let pickups: Pickups = Pickup::of(Element::Magnetic(coil)).into();
    let chain = Chain::from(&"220k || 3 m".parse::<Load>().unwrap());
    let run = CableRun::new(&pickups, &chain);
    let bare_hz = corner_hz(5.6e3, 2.2, 100e-12, 220e3);
    assert_relative_eq!(run.top_hz().unwrap(), bare_hz, max_relative = 1e-6);
    for part in [0.5, 0.5f64.cbrt()] {
        let metres = run.for_top(part).unwrap().metres();
        let loaded_hz = corner_hz(5.6e3, 2.2, 100e-12 * (1.0 + metres), 220e3);
        assert_relative_eq!(loaded_hz, part * bare_hz, max_relative = 1e-6);
    }
    assert!(run.for_level(1.0).is_none(), "no cable takes its level");
}

/// Of a blend the coil is looked at: beside a pickup of next to no capacitance behind a large resistor it is as if it were alone.
#[test]
fn the_coil_of_a_blend() {
    let coil = MagneticPickup {
        inductance: "2.2 H".parse().unwrap(),
        resistance: "5k6".parse().unwrap(),
        winding: "100p".parse().ok(),
        loss: None,
    };
    let blended = |pickup, mixing: Option<&str>| Blended {
        pickup,
        mixing: mixing.map(|mixing| mixing.parse().unwrap()),
        polarity: Polarity::Same,
    };
    let coil = Pickup::of(Element::Magnetic(coil));
    let piezo = blended(Pickup::new("0.01 pF".parse().unwrap()), Some("1G"));
    let chain = Chain::from(&"220k || 3 m".parse::<Load>().unwrap());
    let of_blend = CableRun::new(&Pickups::Blend([piezo, blended(coil, None)]), &chain);
    let alone = CableRun::new(&coil.into(), &chain);
    assert_eq!((of_blend.coil(), alone.coil(), run("1n", "1M").coil()), (Some(1), Some(0), None));
    assert_relative_eq!(of_blend.top_hz().unwrap(), alone.top_hz().unwrap(), max_relative = 1e-3);
    let metres = |run: &CableRun| run.for_top(0.5).unwrap().metres();
    assert_relative_eq!(metres(&of_blend), metres(&alone), max_relative = 1e-3);
}
