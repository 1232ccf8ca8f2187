//! The digital sections against the analog formula, written out here, over everything the model covers.

use crate::common;
use std::f64::consts::{PI, TAU};

use crate::common::{change, db, difference, music_like_noise, peak, run, white_noise};
use dsp_core::circuit::{Cable, CapacitivePickup, Chain, Element, Link, Pickup};
use dsp_core::filter::Sections;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Root, Roots, Shape, Transfer};
use dsp_core::units::{Capacitance, Length, Resistance};
use proptest::prelude::*;
use realfft::num_complex::Complex64;

const RATES: [f64; 7] = [8_000.0, 22_050.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0, 384_000.0];

/// The bar of the design.
const BAR_DB: f64 = 0.004;

/// 60 corners from 0.5 Hz to 30 kHz in rad/s, evenly in their logarithm.
fn corners() -> impl Iterator<Item = f64> + Clone {
    (0..60).map(|i| TAU * 0.5 * 60_000_f64.powf(f64::from(i) / 59.0))
}

/// `|K|²` of a first-order ratio: `(W² + z²)/(W² + p²)`.
fn analog_power(zero_rad_s: f64, pole_rad_s: f64, hz: f64) -> f64 {
    let w2 = (TAU * hz).powi(2);
    (w2 + zero_rad_s * zero_rad_s) / (w2 + pole_rad_s * pole_rad_s)
}

/// Up to here the bar holds: 20 kHz or 0.907 of Nyquist.
fn top_hz(rate_hz: f64) -> f64 {
    (0.907 * rate_hz / 2.0).min(20_000.0)
}

/// Every pair of corners at every rate, the whole band on a grid that is dense where the error ripples.
#[test]
fn magnitude_is_within_the_bar_for_every_pair_of_corners() {
    let mut worst_db: f64 = 0.0;
    for rate_hz in RATES {
        let grid: Vec<f64> =
            (1..=100).map(|i| top_hz(rate_hz) * (PI / 2.0 * f64::from(i) / 100.0).sin()).collect();
        for zero_rad_s in corners() {
            for pole_rad_s in corners() {
                let sections = Sections::new(&Shape::first_order(1.0, zero_rad_s, pole_rad_s), rate_hz);
                for &hz in &grid {
                    let ratio = sections.power(hz, rate_hz) / analog_power(zero_rad_s, pole_rad_s, hz);
                    worst_db = worst_db.max((10.0 * ratio.log10()).abs());
                }
            }
        }
    }
    println!("worst error {worst_db:.5} dB");
    assert!(worst_db <= BAR_DB, "{worst_db}");
    // Less would mean that the grid misses the ripples: 10 log10(1 + 8.54e-4) is reached, not only allowed.
    assert!(worst_db >= 0.0036, "{worst_db}");
}

/// The error that is printed with a response is the one that is there.
#[test]
fn the_stated_error_is_the_true_one() {
    for rate_hz in RATES {
        assert!((Sections::accurate_to_hz(rate_hz) - top_hz(rate_hz)).abs() < 1e-4 * top_hz(rate_hz));
        for (zero_rad_s, pole_rad_s) in [(66.6, 26_257.0), (66.6, 3_129.0), (26_257.0, 1_656.7), (400.0, 0.0)]
        {
            let shape = Shape::first_order(1.0, zero_rad_s, pole_rad_s);
            let sections = Sections::new(&shape, rate_hz);
            let worst_db = (1..=20_000)
                .map(|i| top_hz(rate_hz) * f64::from(i) / 20_000.0)
                .map(|hz| {
                    10.0 * (sections.power(hz, rate_hz) / analog_power(zero_rad_s, pole_rad_s, hz)).log10()
                })
                .fold(0.0, |worst: f64, error| worst.max(error.abs()));
            let stated_db = Sections::worst_error_db(&shape, rate_hz);
            assert!((stated_db - worst_db).abs() <= 2e-5, "{rate_hz} {shape:?}: {stated_db} {worst_db}");
        }
    }
    assert_eq!(Sections::worst_error_db(&Shape::first_order(2.0, 50.0, 50.0), 48_000.0), 0.0);
}

/// A root at `-decay`, or a pair at `-decay ± j ring`, in rad/s, as the tests below write it down.
type DecayAndRing = (f64, f64);

/// `|Π (jw - zero) / Π (jw - pole)|²` multiplied out of complex numbers.
fn analog_power_of_roots(zeros: &[DecayAndRing], poles: &[DecayAndRing], hz: f64) -> f64 {
    let factor = |&(decay, ring): &DecayAndRing| {
        let distance = Complex64::new(decay, TAU * hz - ring);
        let mirrored = Complex64::new(decay, TAU * hz + ring);
        if ring == 0.0 { distance.norm_sqr() } else { distance.norm_sqr() * mirrored.norm_sqr() }
    };
    let of = |roots: &[DecayAndRing], i: usize| roots.get(i).map_or(1.0, factor);
    (0..zeros.len().max(poles.len())).map(|i| of(zeros, i) / of(poles, i)).product()
}

fn shape_of(zeros: &[DecayAndRing], poles: &[DecayAndRing]) -> Shape {
    let roots = |list: &[DecayAndRing]| {
        let root = |&(decay_rad_s, ring_rad_s): &DecayAndRing| Root { decay_rad_s, ring_rad_s };
        list.iter().map(root).collect::<Roots>()
    };
    Shape { gain: 1.0, zeros: roots(zeros), poles: roots(poles) }
}

/// A pair that resonates at `hz` with quality `q` above one half: `s² + w s / q + w²`.
fn pair(hz: f64, q: f64) -> DecayAndRing {
    let decay = TAU * hz / (2.0 * q);
    (decay, ((TAU * hz).powi(2) - decay * decay).sqrt())
}

/// The largest error in dB over the band, on `points` frequencies and as many near each resonance.
fn scanned_error_db(zeros: &[DecayAndRing], poles: &[DecayAndRing], rate_hz: f64, points: u32) -> f64 {
    let sections = Sections::new(&shape_of(zeros, poles), rate_hz);
    let near = |(decay, ring): DecayAndRing| {
        (0..=points).map(move |i| (ring + decay * 5.0 * (2.0 * f64::from(i) / f64::from(points) - 1.0)) / TAU)
    };
    (1..=points)
        .map(|i| top_hz(rate_hz) * (PI / 2.0 * f64::from(i) / f64::from(points)).sin())
        .chain(zeros.iter().chain(poles).filter(|(_, ring)| *ring > 0.0).flat_map(|pair| near(*pair)))
        .filter(|hz| (1e-3..=top_hz(rate_hz)).contains(hz))
        .map(|hz| 10.0 * (sections.power(hz, rate_hz) / analog_power_of_roots(zeros, poles, hz)).log10())
        .fold(0.0, |worst: f64, error| if error.is_nan() { f64::NAN } else { worst.max(error.abs()) })
}

/// Low-pass, high-pass and ratio of two resonances, Q up to 6, from 5 Hz to 20 kHz, every rate.
#[test]
fn resonances_are_within_the_bar() {
    const RESONANCE_BAR_DB: f64 = 0.025;
    let places = || (0..14).map(|i| 5.0 * 4_000_f64.powf(f64::from(i) / 13.0));
    let mut worst_db = [0.0_f64; 3];
    for rate_hz in RATES {
        for (hz, q) in places().flat_map(|hz| [0.501, 0.7, 1.0, 2.5, 6.0].map(|q| (hz, q))) {
            let mut note = |kind: usize, zeros: &[DecayAndRing]| {
                let error_db = scanned_error_db(zeros, &[pair(hz, q)], rate_hz, 48);
                assert!(
                    error_db <= RESONANCE_BAR_DB,
                    "{error_db} dB, {hz} Hz, Q {q}, {zeros:?}, {rate_hz} Hz"
                );
                worst_db[kind] = worst_db[kind].max(error_db);
            };
            note(0, &[]);
            note(1, &[(0.0, 0.0), (0.0, 0.0)]);
            for other_hz in places().step_by(2) {
                note(2, &[pair(other_hz * 1.1, 0.6)]);
                note(2, &[pair(other_hz * 1.1, 6.0)]);
            }
        }
    }
    println!("worst error of low-pass, high-pass, ratio: {worst_db:.5?} dB");
}

/// Uniform numbers between 0 and 1, the same for the same seed.
fn uniform(seed: u32) -> impl Iterator<Item = f64> {
    white_noise(seed, 10_000).into_iter().map(|value| value + 0.5)
}

/// Chains without resonance: as many zeros as poles, fewer, and more (undo); corners between 0.5 Hz and 30 kHz.
#[test]
fn chains_without_resonance_are_within_the_bar() {
    let mut worst_db = 0.0_f64;
    for seed in 1..=60 {
        for (order, rate_hz) in
            [2_usize, 3, 4, 6, 8, 16].into_iter().flat_map(|n| RATES.map(|rate| (n, rate)))
        {
            let mut random = uniform(seed * 100 + u32::try_from(order).unwrap());
            let mut corners = |count: usize| -> Vec<DecayAndRing> {
                random.by_ref().take(count).map(|x| (TAU * 0.5 * 60_000_f64.powf(x), 0.0)).collect()
            };
            let full = corners(order);
            // Every third seed: equal numbers, fewer zeros, fewer poles.
            let less = corners(if seed % 3 == 0 { order } else { order / 2 });
            let (zeros, poles) = if seed % 3 == 2 { (full, less) } else { (less, full) };
            let error_db = scanned_error_db(&zeros, &poles, rate_hz, 32);
            assert!(error_db <= BAR_DB, "{error_db} dB, {zeros:?} over {poles:?} at {rate_hz} Hz");
            worst_db = worst_db.max(error_db);
        }
    }
    println!("worst error {worst_db:.5} dB");
}

/// Sixteen corners on each side that all but cancel: what is too little to be worth a section must not add up to more than the bar.
#[test]
fn many_corners_that_nearly_cancel_are_within_the_bar() {
    let mut worst_db = 0.0_f64;
    for (rate_hz, hz) in RATES.into_iter().flat_map(|rate| [30.0, 300.0, 3e3, 9e3, 3e4].map(|hz| (rate, hz)))
    {
        for apart in (0..=30).map(|i| 10f64.powf(-5.0 + f64::from(i) / 6.0)) {
            let all = |hz: f64| vec![(TAU * hz, 0.0); 16];
            for (zeros, poles) in [(all(hz), all(hz * (1.0 + apart))), (all(hz * (1.0 + apart)), all(hz))] {
                let error_db = scanned_error_db(&zeros, &poles, rate_hz, 32);
                assert!(error_db <= BAR_DB, "{error_db} dB, {hz} Hz and {apart:e} above, {rate_hz} Hz");
                worst_db = worst_db.max(error_db);
            }
        }
    }
    println!("worst error {worst_db:.5} dB");
}

/// Shapes that undo a transformer or a coil: one and two poles at the origin, more zeros than poles.
#[test]
fn integrators_and_improper_ratios_are_within_the_bar() {
    let origin = (0.0, 0.0);
    let low = (TAU * 12.0, 0.0);
    let cases: [(&[DecayAndRing], &[DecayAndRing]); 6] = [
        (&[low, (TAU * 80.0, 0.0)], &[origin, origin]),
        (&[pair(30.0, 0.8)], &[origin, origin]),
        (&[], &[origin, origin]),
        (&[pair(4_000.0, 4.0), low], &[origin]),
        (&[pair(4_000.0, 4.0), pair(9_000.0, 1.0)], &[]),
        (&[low, pair(2_000.0, 3.0)], &[origin, pair(7_000.0, 2.0), origin]),
    ];
    for ((zeros, poles), rate_hz) in cases.into_iter().flat_map(|case| RATES.map(|rate| (case, rate))) {
        let error_db = scanned_error_db(zeros, poles, rate_hz, 2_000);
        assert!(error_db <= BAR_DB, "{error_db} dB, {zeros:?} over {poles:?} at {rate_hz} Hz");
    }
}

/// Corners of half a hertz at the highest rate are met at and near DC to ten digits.
#[test]
fn the_lowest_corners_are_exact_at_dc() {
    let corner = |hz: f64| (TAU * hz, 0.0);
    let cases: [(&[DecayAndRing], &[DecayAndRing]); 4] = [
        (&[corner(0.5), corner(0.7)], &[corner(0.6), corner(2_000.0)]),
        (&[corner(0.5)], &[pair(0.5, 5.0)]),
        (&[(0.0, 0.0), (0.0, 0.0)], &[pair(0.5, 2.0)]),
        (&[corner(4_000.0), corner(500.0), corner(20.0)], &[corner(0.5), (0.0, 0.0)]),
    ];
    for (zeros, poles) in cases {
        let sections = Sections::new(&shape_of(zeros, poles), 384_000.0);
        for hz in [1e-6, 1e-3, 0.1, 0.5, 1.0, 5.0] {
            let ratio = sections.power(hz, 384_000.0) / analog_power_of_roots(zeros, poles, hz);
            assert!((ratio - 1.0).abs() <= 1e-9, "{ratio} at {hz} Hz, {zeros:?} over {poles:?}");
        }
    }
}

/// As above for any order: a resonance between the points of a coarse scan counts too.
#[test]
fn the_stated_error_of_resonances_is_the_true_one() {
    for rate_hz in [8_000.0, 44_100.0, 48_000.0, 192_000.0] {
        for (zeros, poles) in [
            (vec![], vec![pair(3_000.0, 6.0)]),
            (vec![pair(1_234.5, 500.0)], vec![pair(3_333.0, 1_000.0), (TAU * 40.0, 0.0)]),
            (vec![(0.0, 0.0), (0.0, 0.0)], vec![pair(7.0, 0.9)]),
            (vec![(500.0, 0.0), (9_000.0, 0.0), (60.0, 0.0)], vec![(50.0, 0.0), (70_000.0, 0.0)]),
        ] {
            let stated_db = Sections::worst_error_db(&shape_of(&zeros, &poles), rate_hz);
            let true_db = scanned_error_db(&zeros, &poles, rate_hz, 20_000);
            println!("{stated_db:.6} dB stated, {true_db:.6} dB scanned, {rate_hz} Hz");
            assert!((stated_db - true_db).abs() <= 1e-6 + 0.005 * true_db, "{stated_db} {true_db} {rate_hz}");
        }
    }
    let notch = shape_of(&[(0.0, 5_000.0)], &[pair(800.0, 0.6)]);
    assert_eq!(Sections::worst_error_db(&notch, 48_000.0), f64::INFINITY);
}

/// The spectrum of the processor's impulse response, `(frequency, response)` up to the top of the band.
fn spectrum_of_impulse_response(shape: &Shape, rate_hz: f64) -> Vec<(f64, Complex64)> {
    // Long enough for the slowest pole below to decay by 200 dB at 44.1 kHz.
    const LENGTH: u32 = 1 << 17;
    let mut processor = Processor::new(rate_hz, 1).unwrap();
    processor.change(shape, 1.0).unwrap();
    let impulse: Vec<f64> = (0..LENGTH).map(|n| if n == 0 { 1.0 } else { 0.0 }).collect();
    let mut response = run(&mut processor, &impulse);
    let transform = firstjack_fourier::real(response.len());
    let mut spectrum = transform.make_output_vec();
    transform.process(&mut response, &mut spectrum).unwrap();
    (0..LENGTH / 2)
        .zip(spectrum)
        .map(|(bin, value)| (f64::from(bin) * rate_hz / f64::from(LENGTH), value))
        .skip(1)
        .take_while(|(hz, _)| *hz <= top_hz(rate_hz))
        .collect()
}

#[test]
fn impulse_response_has_the_analog_spectrum() {
    for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        for (zero_hz, pole_hz) in
            [(10.6, 4_179.0), (4_179.0, 263.7), (200.0, 12.6), (0.0, 498.0), (30_000.0, 1_000.0)]
        {
            let shape = Shape::first_order(0.7, TAU * zero_hz, TAU * pole_hz);
            for (hz, value) in spectrum_of_impulse_response(&shape, rate_hz) {
                let expected = 0.49 * analog_power(TAU * zero_hz, TAU * pole_hz, hz);
                let error_db = 10.0 * (value.norm_sqr() / expected).log10();
                assert!(
                    error_db.abs() <= BAR_DB,
                    "{error_db} dB at {hz} Hz, {rate_hz} Hz, {zero_hz} to {pole_hz}"
                );
            }
        }
    }
}

/// What is stated of the phase: off by 0.4, 2.2 and 4.5 degrees at 1, 5 and 10 kHz at 44.1 kHz, a quarter of that at 96 kHz. It holds
/// up to the demo's highest corner, 4.18 kHz; at 5 kHz the method itself is off by 0.46, 2.28 and 4.70 (roots of the cubic found by
/// numpy).
#[test]
fn phase_stays_within_what_is_stated() {
    for (rate_hz, share) in [(44_100.0, 1.0), (96_000.0, 0.25)] {
        for (top_corner_hz, limits) in [(4_180.0, [0.4, 2.2, 4.5]), (5_000.0, [0.457, 2.284, 4.698])] {
            let worst = worst_phase_degrees(top_corner_hz, rate_hz);
            println!("{rate_hz} Hz, corners to {top_corner_hz} Hz: {worst:.3?} degrees at 1, 5 and 10 kHz");
            for (worst, limit) in worst.into_iter().zip(limits) {
                assert!(worst <= limit * share, "{worst} {limit} at {rate_hz} Hz");
            }
        }
    }
}

fn worst_phase_degrees(top_hz: f64, rate_hz: f64) -> [f64; 3] {
    let mut worst = [0.0_f64; 3];
    for (zero_hz, pole_hz) in [(0.5, top_hz), (10.6, top_hz), (10.6, 732.0), (top_hz, 315.0), (top_hz, 1.0)] {
        let shape = Shape::first_order(1.0, TAU * zero_hz, TAU * pole_hz);
        let spectrum = spectrum_of_impulse_response(&shape, rate_hz);
        for (worst, wanted_hz) in worst.iter_mut().zip([1_000.0, 5_000.0, 10_000.0]) {
            let (hz, value) = *spectrum.iter().find(|(hz, _)| *hz >= wanted_hz).unwrap();
            let expected = Complex64::new(zero_hz, hz) / Complex64::new(pole_hz, hz);
            *worst = worst.max((value / expected).arg().to_degrees().abs());
        }
    }
    worst
}

/// A take through a load in one spelling, heard through the same in another, is the take, bit for bit.
#[test]
fn the_same_load_is_transparent() {
    let take: Vec<f64> = music_like_noise(1, 48_000.0, 5_000);
    for (a, b) in [("470k || 1M", "1M || 470k"), ("4k7", "4.7k"), ("15k || 60k", "12k"), ("none", "none")] {
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        processor.change(&change("680p", a, b).shape(Ceiling::default()), 1.0).unwrap();
        assert!(processor.is_transparent(), "{a} and {b}");
        assert_eq!(run(&mut processor, &take), take, "{a} and {b}");
    }
}

/// Applying a load and undoing it without a ceiling gives the take back, -120 dB.
#[test]
fn undo_inverts_apply() {
    for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        let take = music_like_noise(7, rate_hz, 100_000);
        for load in ["22M", "1M", "470k || 6 m", "56k", "10k"] {
            let mut apply = Processor::new(rate_hz, 1).unwrap();
            apply.change(&change("680p", "none", load).shape(Ceiling::Off), 1.0).unwrap();
            let mut undo = Processor::new(rate_hz, 1).unwrap();
            undo.change(&change("680p", load, "none").shape(Ceiling::Off), 1.0).unwrap();
            let back = run(&mut undo, &run(&mut apply, &take));
            let residue_db = db(peak(&difference(&back, &take)) / peak(&take));
            assert!(residue_db <= -120.0, "{residue_db} dB, {load} at {rate_hz} Hz");
        }
    }
}

/// The boost at DC, run through the processor: a long constant comes out raised by the ceiling.
#[test]
fn the_ceiling_holds_in_sound() {
    for ceiling_db in [6.0, 12.0, 24.0] {
        let shape = change("680p", "1M", "none").shape(Ceiling::Db(ceiling_db));
        let mut processor = Processor::new(48_000.0, 1).unwrap();
        processor.change(&shape, 1.0).unwrap();
        let output = run(&mut processor, &vec![0.1; 96_000]);
        let boost_db = db(output.last().unwrap() / (0.1 * shape.gain));
        assert!((boost_db - ceiling_db).abs() < 1e-3, "{boost_db} for {ceiling_db}");
    }
}

proptest! {
    #![proptest_config(common::cases(96))]

    /// Whatever the pickup, the two loads and the rate: bounded input gives bounded output, the impulse response
    /// decays, and the printed error keeps to the bar.
    #[test]
    fn stable_over_the_whole_parameter_range(
        picofarads in 200.0_f64..20_000.0,
        leakage_exponent in prop_oneof![Just(f64::NAN), 6.0..10.0],
        exponents in proptest::array::uniform2(3.0_f64..9.0),
        metres in proptest::array::uniform2(0.0_f64..100.0),
        unloaded in any::<bool>(),
        rate_hz in Sections::RATES_HZ.0..=Sections::RATES_HZ.1,
    ) {
        let leakage = Resistance::from_ohms(10f64.powf(leakage_exponent)).ok();
        let capacitance = Capacitance::from_farads(picofarads * 1e-12).unwrap();
        let pickup = Pickup::of(Element::Capacitive(CapacitivePickup { capacitance, leakage }));
        let load = |i: usize| {
            let input = Link::Resistance(Resistance::from_ohms(10f64.powf(exponents[i])).unwrap());
            let cable = Length::from_metres(metres[i]).ok().map(|length| Link::Cable(Cable::new(length)));
            Chain::new([Some(input), cable].into_iter().flatten().collect()).unwrap()
        };
        let to = if unloaded { Chain::default() } else { load(1) };
        let transfer = |chain| Transfer::new(&pickup.into(), chain);
        let shape = Change::new(&transfer(&load(0)), &transfer(&to)).shape(Ceiling::default());
        prop_assert!(Sections::worst_error_db(&shape, rate_hz) <= BAR_DB);
        let mut processor = Processor::new(rate_hz, 1).unwrap();
        processor.set_guard(false);
        processor.change(&shape, 1.0).unwrap();
        let mut input = vec![0.0; 40_000];
        input[0] = 1.0;
        let response = run(&mut processor, &input);
        prop_assert!(response.iter().all(|value| value.is_finite()));
        // A first-order ratio's impulse response falls all the way: the latter half holds less than the former.
        let energy = |part: &[f64]| part.iter().map(|value| value * value).sum::<f64>();
        let (early, late) = response[1..].split_at(20_000);
        prop_assert!(energy(late) <= energy(early), "{shape:?} at {rate_hz} Hz");
        // No more than the circuit's own gain at either end of the band, with the ripple of the approximation beyond it.
        let corner = |roots: &Roots| roots.first().map_or(1.0, |root| root.decay_rad_s);
        let bound = shape.gain * (corner(&shape.zeros) / corner(&shape.poles)).max(1.0);
        prop_assert!(response[0].abs() <= 2.0 * bound, "{shape:?} at {rate_hz} Hz");
    }
}
