//! What holds for every passive network, over random circuits: physics by hand, and the way from a circuit to stable
//! sections within their bounds.

use crate::common;
use std::f64::consts::TAU;

use crate::common::circuits::{
    any_chain, any_input, capacitance, capacitive_element, chain, input_box, pickups, resistance, resistive,
};
use dsp_core::circuit::{Blended, Chain, Element, InputBox, Link, Pickup, Pickups, Polarity, Thru};
use dsp_core::filter::Sections;
use dsp_core::response::{Ceiling, Change, Root, Shape, Transfer};
use dsp_core::units::{Capacitance, Resistance};
use proptest::prelude::*;
use realfft::num_complex::Complex64;

const ROUNDING: f64 = 1e-9;

/// 1 Hz to 100 kHz.
fn grid() -> impl Iterator<Item = f64> {
    (0..=100).map(|i| 10f64.powf(f64::from(i) / 20.0))
}

fn capacitive(element: dsp_core::circuit::CapacitivePickup) -> Pickups {
    Pickup::of(Element::Capacitive(element)).into()
}

/// The chain as a load, listened to at its terminals: a box too large to matter ends it.
fn at_terminals(chain: &Chain, more: Option<Link>) -> Option<Chain> {
    let mut links: Vec<Link> = chain.links().map(|(link, _)| link.clone()).collect();
    links.extend(more);
    links.push(Link::Box(InputBox::new("meter", "1T".parse().unwrap())));
    Chain::new(links).ok()
}

/// `|K|` in dB at `w` rad/s, factor by factor in complex numbers.
fn level_db(shape: &Shape, w: f64) -> f64 {
    let factors = |roots: &[Root]| -> f64 {
        let of = |root: &Root| {
            let away = |im: f64| Complex64::new(root.decay_rad_s, w - im).norm().log10();
            if root.is_real() { away(0.0) } else { away(root.ring_rad_s) + away(-root.ring_rad_s) }
        };
        roots.iter().map(of).sum()
    };
    20.0 * (shape.gain.abs().log10() + factors(&shape.zeros) - factors(&shape.poles))
}

/// The largest boost of a shape in dB: at DC, over fourteen decades, and around each root by fractions of its own width.
fn largest_boost_db(shape: &Shape) -> f64 {
    let grid = (0..=1_400).map(|i| TAU * 10f64.powf(-4.0 + f64::from(i) / 100.0));
    let roots = || shape.zeros.iter().chain(shape.poles.iter());
    let around =
        roots().flat_map(|root| (-40..=40).map(|i| root.ring_rad_s + root.decay_rad_s * f64::from(i) / 8.0));
    let places = [0.0].into_iter().chain(grid).chain(around.filter(|w| *w >= 0.0));
    places.map(|w| level_db(shape, w)).fold(f64::NEG_INFINITY, f64::max)
}

/// The filter's bar in dB: without resonance, with one up to a Q of 6, and above in proportion, since what moves a resonance a little
/// shows the more the narrower it is.
fn bar_db(q: f64) -> f64 {
    match q {
        ..=0.5 => 0.004,
        ..=6.0 => 0.025,
        _ => 0.025 * q / 6.0,
    }
}

/// Of the sharpest resonance.
fn largest_q(roots: &[Root]) -> f64 {
    roots.iter().map(Root::q).fold(0.0, f64::max)
}

proptest! {
    #![proptest_config(common::cases(4_000))]

    /// Resistances and capacitances alone amplify nowhere.
    #[test]
    fn nothing_is_louder_than_the_pickup(element in capacitive_element(), chain in chain(resistive())) {
        let transfer = Transfer::new(&capacitive(element), &at_terminals(&chain, None).unwrap());
        for hz in grid() {
            prop_assert!(transfer.at(hz).norm() <= 1.0 + ROUNDING, "{hz} Hz");
        }
    }

    /// With a transformer something may ring; where the response rises above the source, a pair of poles is there to do it.
    #[test]
    fn only_what_rings_is_louder_than_the_pickup(element in capacitive_element(), input in input_box(any_input())) {
        let chain = Chain::new(vec![Link::Box(input)]).unwrap();
        let transfer = Transfer::new(&capacitive(element), &at_terminals(&chain, None).unwrap());
        let loudest = grid().map(|hz| transfer.at(hz).norm()).fold(0.0, f64::max);
        prop_assert!(loudest <= 1.0 + ROUNDING || transfer.poles().iter().any(|pole| !pole.is_real()), "{loudest}");
    }

    #[test]
    fn a_resistance_in_parallel_makes_nothing_louder(
        element in capacitive_element(),
        chain in chain(resistive()),
        parallel in resistance(3.0, 9.0),
    ) {
        let without = at_terminals(&chain, None).unwrap();
        // In front: behind a splitter's resistor it would stand at another place.
        let mut links = vec![Link::Resistance(parallel)];
        links.extend(without.links().map(|(link, _)| link.clone()));
        let with = Chain::new(links).unwrap();
        let pickup = capacitive(element);
        let (before, after) = (Transfer::new(&pickup, &without), Transfer::new(&pickup, &with));
        for hz in grid() {
            prop_assert!(after.at(hz).norm() <= before.at(hz).norm() * (1.0 + ROUNDING), "{hz} Hz");
        }
    }

    /// Reciprocity: the current that one source drives through the other is the current that the other drives through
    /// it, `H_1 / Z_2 = H_2 / Z_1`, whatever stands across the jack.
    #[test]
    fn a_blend_is_reciprocal(
        farads in [capacitance(-9.7, -7.7), capacitance(-9.7, -7.7)],
        mixing in [resistance(3.0, 6.0), resistance(3.0, 6.0)],
        chain in any_chain(),
    ) {
        let one = |i: usize| Blended { pickup: Pickup::new(farads[i]), mixing: Some(mixing[i]), polarity: Polarity::Same };
        let blend = Pickups::Blend([one(0), one(1)]);
        let chain = at_terminals(&chain, None);
        prop_assume!(chain.is_some());
        let chain = chain.unwrap();
        for hz in grid().step_by(10) {
            let s = Complex64::new(0.0, TAU * hz);
            let impedance = |c: Capacitance, r: Resistance| (s * c.farads()).inv() + r.ohms();
            let [z1, z2] = [0, 1].map(|i| impedance(farads[i], mixing[i]));
            let (there, back) = (Transfer::of(&blend, 0, &chain).at(hz) / z2, Transfer::of(&blend, 1, &chain).at(hz) / z1);
            prop_assert!((there - back).norm() <= ROUNDING * there.norm(), "{hz} Hz: {there} {back}");
        }
    }

    /// The roots of every circuit against the circuit: the product over them is the response, to rounding, and none is in
    /// the right half plane.
    #[test]
    fn roots_give_the_response_back(pickups in pickups(), chain in any_chain()) {
        prop_assume!(pickups.check_losses(&chain).is_ok());
        for index in 0..pickups.count() {
            let transfer = Transfer::of(&pickups, index, &chain);
            let (zeros, poles) = (transfer.zeros(), transfer.poles());
            prop_assert!(poles.iter().chain(zeros.iter()).all(|root| root.decay_rad_s >= 0.0));
            prop_assert!(poles.iter().all(|pole| pole.decay_rad_s > 0.0), "{poles:?}");
            let shape = Shape { gain: 1.0, zeros, poles };
            let reference_hz = 1_000.0;
            let scale = transfer.at(reference_hz).norm() / shape.power(reference_hz).sqrt();
            for hz in grid() {
                let (given, expected) = (scale * shape.power(hz).sqrt(), transfer.at(hz).norm());
                prop_assert!((given / expected - 1.0).abs() <= 1e-6, "{hz} Hz: {given} {expected}\n{shape:?}");
            }
        }
    }

    /// Any circuit to any other, and undone, at any rate: stable, bounded by the ceiling where that applies, and within the
    /// filter's bars.
    #[test]
    fn every_change_is_stable_and_within_its_bounds(
        pickups in pickups(),
        from in any_chain(),
        to in prop_oneof![3 => any_chain(), 1 => Just(Chain::default())],
        ceiling_db in 3.0..60.0,
        rate_hz in Sections::RATES_HZ.0..=Sections::RATES_HZ.1,
    ) {
        prop_assume!([&from, &to].iter().all(|chain| pickups.check_losses(chain).is_ok()));
        for index in 0..pickups.count() {
            let transfer = |chain| Transfer::of(&pickups, index, chain);
            let shape = Change::new(&transfer(&from), &transfer(&to)).shape(Ceiling::Db(ceiling_db));
            prop_assert!(shape.poles.iter().all(|pole| pole.decay_rad_s > 0.0), "{shape:?}");
            prop_assert!(shape.zeros.degree() <= shape.poles.degree());
            if to.is_empty() {
                let boost_db = largest_boost_db(&shape);
                prop_assert!(boost_db <= ceiling_db + 1e-6, "{boost_db} over {ceiling_db}: {shape:?}");
            }
            let q = largest_q(&shape.poles).max(largest_q(&shape.zeros));
            let worst = Sections::worst_error_db(&shape, rate_hz);
            prop_assert!(worst <= bar_db(q), "{worst} dB with Q {q}: {shape:?}");
            let exact = Change::new(&transfer(&from), &transfer(&to)).shape(Ceiling::Off);
            prop_assert!(exact.poles.iter().all(|pole| pole.is_real() || pole.decay_rad_s > 0.0));
        }
    }
}

/// Of the listened-to box nothing is special to the others: a thru in front only adds its load.
#[test]
fn a_box_in_front_only_loads() {
    let tuner = InputBox { thru: Some(Thru::Before), ..InputBox::new("tuner", "1M".parse().unwrap()) };
    let end = || Link::Box(InputBox::new("end", "470k".parse().unwrap()));
    let pickup = Pickups::from(Pickup::new("680p".parse().unwrap()));
    let with = Transfer::new(&pickup, &Chain::new(vec![Link::Box(tuner), end()]).unwrap());
    let plain = Chain::new(vec![Link::Resistance("1M".parse().unwrap()), end()]).unwrap();
    assert_eq!(with, Transfer::new(&pickup, &plain));
}
