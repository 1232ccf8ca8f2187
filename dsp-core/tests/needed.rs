//! The input to ask for, corners and slopes, against impedances put together by hand in complex numbers.

use crate::common;
use std::f64::consts::TAU;

use crate::common::chain;
use crate::common::circuits::{any_input, pickups};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use dsp_core::circuit::{
    Blended, Cable, Chain, Element, Input, InputBox, Link, MagneticPickup, Pickup, Pickups, Polarity, Thru,
    Transformer,
};
use dsp_core::response::{InputNeeded, Keeps, Response};
use dsp_core::units::Resistance;
use proptest::prelude::*;
use realfft::num_complex::Complex64;

const A1_HZ: f64 = 55.0;

/// Half the power, in dB.
const HALF_DB: f64 = 3.010_299_956_639_812;

fn input(name: &str, ohms: &str) -> Link {
    Link::Box(InputBox { thru: Some(Thru::Before), ..InputBox::new(name, ohms.parse().unwrap()) })
}

/// 47 H, 1.5 kΩ, 12:1 into 1.5 kΩ, 330 pF, with its thru before.
fn passive_box() -> InputBox {
    let transformer = Transformer {
        primary: "47 H".parse().unwrap(),
        winding: "1k5".parse().ok(),
        ratio: "12".parse().unwrap(),
        secondary: "1k5".parse().unwrap(),
        capacitance: "330p".parse().ok(),
        core: None,
    };
    let input = Input::Transformer(transformer);
    InputBox { input, thru: Some(Thru::Before), ..InputBox::new("passive box", "1M".parse().unwrap()) }
}

fn coil() -> Pickups {
    Pickup::of(Element::Magnetic(MagneticPickup {
        inductance: "4.7 H".parse().unwrap(),
        resistance: "8k2".parse().unwrap(),
        winding: "120p".parse().ok(),
        loss: None,
    }))
    .into()
}

fn s(hz: f64) -> Complex64 {
    Complex64::new(0.0, TAU * hz)
}

/// What the coil gives into an admittance, in dB.
fn coil_db(hz: f64, load: Complex64) -> f64 {
    let series = s(hz) * 4.7 + 8_200.0;
    -20.0 * (1.0 + series * (load + s(hz) * 120e-12)).norm().log10()
}

/// The passive box at its jack.
fn passive_box_siemens(hz: f64) -> Complex64 {
    let inside = ((s(hz) * 47.0).inv() + (144.0_f64 * 1_500.0).recip()).inv();
    (inside + 1_500.0).inv() + s(hz) * 330e-12
}

fn asked(pickups: &Pickups, links: Vec<Link>) -> InputNeeded {
    InputNeeded::new(pickups, &Chain::new(links).unwrap(), A1_HZ, 1.0)
}

/// A loss of 1 dB at A1 takes 8.36 MΩ across 680 pF (textbook RC). 100 kΩ in front of the last box are too little whatever comes behind;
/// 10 MΩ are not: what is left to be asked for is the rest of 8.36 MΩ.
#[test]
fn no_input_behind_a_low_one_is_high_enough() {
    let pickup: Pickups = Pickup::new("680p".parse().unwrap()).into();
    let low = asked(&pickup, vec![input("tuner", "100k"), input("amplifier", "470k")]);
    assert_eq!((low.from_ohms, low.buffer_before.as_deref()), (None, Some("tuner")));
    let later =
        asked(&pickup, vec![input("pedal", "22M"), input("tuner", "100k"), input("amplifier", "470k")]);
    assert_eq!((later.from_ohms, later.buffer_before.as_deref()), (None, Some("tuner")), "not the pedal");
    let both =
        asked(&pickup, vec![input("pedal", "33k"), input("tuner", "100k"), input("amplifier", "470k")]);
    assert_eq!(both.buffer_before.as_deref(), Some("pedal"));
    let total_ohms = (TAU * A1_HZ * 680e-12 * (10f64.powf(0.1) - 1.0).sqrt()).recip();
    let high = asked(&pickup, vec![input("tuner", "10M"), input("amplifier", "470k")]);
    let beside = (total_ohms.recip() - 1e-7).recip();
    assert_relative_eq!(high.from_ohms.unwrap(), beside, max_relative = 1e-6);
    let alone = asked(&pickup, vec![input("amplifier", "470k")]);
    assert_relative_eq!(alone.from_ohms.unwrap(), total_ohms, max_relative = 1e-9);
}

/// A passive box in parallel damps the coil's resonance beyond what any input could make good: a buffer in front of it would.
#[test]
fn a_coil_beside_a_transformer_needs_a_buffer() {
    let cable = Link::Cable(Cable::new("6 m".parse().unwrap()));
    let needed = asked(&coil(), vec![cable, Link::Box(passive_box()), input("amplifier", "1M")]);
    let Keeps::Resonance(peak_hz) = needed.keeps else { panic!("{needed:?}") };
    let usual_db = coil_db(peak_hz, s(peak_hz) * 600e-12 + 1e-6);
    let open_db = coil_db(peak_hz, passive_box_siemens(peak_hz) + s(peak_hz) * 600e-12);
    assert!(usual_db - open_db > 1.0, "{usual_db} {open_db}");
    assert_eq!((needed.from_ohms, needed.buffer_before.as_deref()), (None, Some("passive box")));
}

/// Above the range to ask for the resonance stands out by 6 dB more than into 1 MΩ (common practice, no source), by trying every place; a coil
/// on nothing but its own winding, without losses or controls, is the one that does.
#[test]
fn the_range_ends_where_the_resonance_is_six_decibels_higher_than_usual() {
    let needed = asked(&coil(), vec![input("amplifier", "1M")]);
    let highest_db = |ohms: f64| {
        let places = (0..40_000).map(|i| 500.0 * 10f64.powf(f64::from(i) / 20_000.0));
        let level_db = coil_db(1e-3, ohms.recip().into());
        places.map(|hz| coil_db(hz, ohms.recip().into())).fold(f64::MIN, f64::max) - level_db
    };
    let more_db = highest_db(needed.to_ohms.unwrap()) - highest_db(1e6);
    assert_abs_diff_eq!(more_db, 6.0, epsilon = 1e-3);
    let cable = Link::Cable(Cable::new("6 m".parse().unwrap()));
    assert_eq!(asked(&coil(), vec![cable, input("amplifier", "1M")]).to_ohms, None);
}

/// To two figures and inwards, so that what is asked for suffices; an upper end that comes to lie below the lower one is not told.
#[test]
fn what_is_asked_for_is_rounded_inwards() {
    let asked = |from_ohms: Option<f64>, to_ohms: Option<f64>| {
        InputNeeded { from_ohms, buffer_before: None, leak: None, to_ohms, keeps: Keeps::LowString }
            .asked_ohms()
    };
    for (given, expected) in [
        ((Some(8.357e6), None), (Some(8.4e6), None)),
        ((Some(1.0e6), Some(4.7e6)), (Some(1.0e6), Some(4.7e6))),
        ((Some(101e3), Some(999e3)), (Some(110e3), Some(990e3))),
        ((Some(121e3), Some(129e3)), (Some(130e3), None)),
        ((Some(120e3), Some(121e3)), (Some(120e3), None)),
        ((None, Some(5e6)), (None, None)),
    ] {
        let (from, to) = asked(given.0, given.1);
        for (ohms, expected) in [(from, expected.0), (to, expected.1)] {
            assert_eq!(ohms.is_some(), expected.is_some(), "{given:?}: {ohms:?}");
            assert_relative_eq!(ohms.unwrap_or(1.0), expected.unwrap_or(1.0), max_relative = 1e-12);
        }
    }
}

/// Of two pickups the one is named that has no more to give: at the lowest input it has lost just what may be lost.
#[test]
fn two_pickups_ask_for_what_the_more_demanding_one_needs() {
    let one = |pickup: Pickup| Blended { pickup, mixing: "1M".parse().ok(), polarity: Polarity::Same };
    let Pickups::One(coil) = coil() else { unreachable!() };
    let plain = Pickup::new("680p".parse().unwrap());
    for (both, index) in [([one(plain), one(coil)], 0), ([one(coil), one(plain)], 1)] {
        let pickups = Pickups::Blend(both);
        let needed = asked(&pickups, vec![input("amplifier", "1M")]);
        assert_eq!(needed.keeps, Keeps::LowString, "{needed:?}");
        let loss_db = |ohms: f64| {
            let amplifier = InputBox::new("amplifier", Resistance::from_ohms(ohms).unwrap());
            let response = Response::new(&pickups, &Chain::new(vec![Link::Box(amplifier)]).unwrap());
            response.parts()[index].loss_db(A1_HZ)
        };
        assert_abs_diff_eq!(loss_db(needed.from_ohms.unwrap()) - loss_db(1e12), 1.0, epsilon = 1e-6);
    }
}

/// As steep as a circuit has parts that block DC: a capacitive pickup into a resistance once, into a primary twice.
#[test]
fn a_slope_is_as_steep_as_the_circuit_blocks() {
    let pickup: Pickups = Pickup::new("1n".parse().unwrap()).into();
    let box_alone = Chain::new(vec![Link::Box(passive_box())]).unwrap();
    for (chain, order) in [(chain("1M"), 1), (chain("50 H || 50k"), 2), (box_alone, 2)] {
        let response = Response::new(&pickup, &chain);
        let slope = response.slope().unwrap();
        assert_eq!(slope.order, order);
        let octave_db = response.loss_db(slope.below_hz / 512.0) - response.loss_db(slope.below_hz / 256.0);
        assert_abs_diff_eq!(octave_db, 6.0206 * f64::from(order), epsilon = 0.1);
    }
}

proptest! {
    #![proptest_config(common::cases(1_000))]

    /// Where the corner is told, half the power of the passband is left, with whatever zeros and poles.
    #[test]
    fn half_the_power_is_left_at_the_corner(pickups in pickups(), chain in common::circuits::chain(any_input())) {
        let response = Response::new(&pickups, &chain);
        let corner_hz = response.corner_hz();
        // A volume pot at its stop leaves nothing; and the passband of a corner near 10 MHz is beyond what is looked at.
        if corner_hz > 0.0 && corner_hz < 1e6 && response.loss_db(1e3) < 200.0 {
            let power = |hz: f64| 10f64.powf(-0.1 * response.loss_db(hz));
            let at = |i: f64| power(10f64.powf(-3.0 + i / 1e3));
            let near = (0..=10_000).map(f64::from).max_by(|a, b| at(*a).total_cmp(&at(*b))).unwrap();
            // A resonance may be sharper than the grid.
            let highest = (-100..=100).map(|i| at(near + f64::from(i) / 100.0)).fold(0.0, f64::max);
            let down_db = response.loss_db(corner_hz) + 10.0 * highest.log10();
            // Of coils the passband lies below a resonance.
            prop_assert!(down_db >= HALF_DB - 1e-2, "{down_db} dB at {corner_hz} Hz");
            if !response.is_magnetic() {
                prop_assert!(down_db <= HALF_DB + 1e-2, "{down_db} dB at {corner_hz} Hz");
            }
        }
    }
}
