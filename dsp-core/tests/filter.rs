//! The digital sections against the analog formula, written out here, over everything the model covers.

mod common;

use std::f64::consts::{PI, TAU};

use common::{change, db, difference, music_like_noise, peak, run};
use dsp_core::circuit::{Pickup, Shunt};
use dsp_core::filter::{RATES_HZ, Sections, accurate_to_hz, worst_error_db};
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Shape};
use dsp_core::units::Capacitance;
use proptest::prelude::*;
use realfft::RealFftPlanner;
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
                let sections = Sections::new(&Shape { gain: 1.0, zero_rad_s, pole_rad_s }, rate_hz);
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
        assert!((accurate_to_hz(rate_hz) - top_hz(rate_hz)).abs() < 1e-4 * top_hz(rate_hz));
        for (zero_rad_s, pole_rad_s) in [(66.6, 26_257.0), (66.6, 3_129.0), (26_257.0, 1_656.7), (400.0, 0.0)]
        {
            let shape = Shape { gain: 1.0, zero_rad_s, pole_rad_s };
            let sections = Sections::new(&shape, rate_hz);
            let worst_db = (1..=20_000)
                .map(|i| top_hz(rate_hz) * f64::from(i) / 20_000.0)
                .map(|hz| {
                    10.0 * (sections.power(hz, rate_hz) / analog_power(zero_rad_s, pole_rad_s, hz)).log10()
                })
                .fold(0.0, |worst: f64, error| worst.max(error.abs()));
            let stated_db = worst_error_db(&shape, rate_hz);
            assert!((stated_db - worst_db).abs() <= 2e-5, "{rate_hz} {shape:?}: {stated_db} {worst_db}");
        }
    }
    assert_eq!(worst_error_db(&Shape { gain: 2.0, zero_rad_s: 50.0, pole_rad_s: 50.0 }, 48_000.0), 0.0);
}

/// The spectrum of the processor's impulse response, `(frequency, response)` up to the top of the band.
fn spectrum_of_impulse_response(shape: &Shape, rate_hz: f64) -> Vec<(f64, Complex64)> {
    // Long enough for the slowest pole below to decay by 200 dB at 44.1 kHz.
    const LENGTH: u32 = 1 << 17;
    let mut processor = Processor::new(rate_hz, 1).unwrap();
    processor.set_shape(shape);
    let impulse: Vec<f64> = (0..LENGTH).map(|n| if n == 0 { 1.0 } else { 0.0 }).collect();
    let mut response = run(&mut processor, &impulse);
    let transform = RealFftPlanner::new().plan_fft_forward(response.len());
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
            let shape = Shape { gain: 0.7, zero_rad_s: TAU * zero_hz, pole_rad_s: TAU * pole_hz };
            for (hz, value) in spectrum_of_impulse_response(&shape, rate_hz) {
                let expected = 0.49 * analog_power(shape.zero_rad_s, shape.pole_rad_s, hz);
                let error_db = 10.0 * (value.norm_sqr() / expected).log10();
                assert!(
                    error_db.abs() <= BAR_DB,
                    "{error_db} dB at {hz} Hz, {rate_hz} Hz, {zero_hz} to {pole_hz}"
                );
            }
        }
    }
}

/// The figures of physics.md, section 2: 0.4, 2.2 and 4.5 degrees at 1, 5 and 10 kHz at 44.1 kHz, a quarter of that at
/// 96 kHz. They hold up to the demo's highest corner, 4.18 kHz; at the 5 kHz named there the method itself is off by 0.46, 2.28 and 4.70 (roots of the cubic found by numpy).
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
        let shape = Shape { gain: 1.0, zero_rad_s: TAU * zero_hz, pole_rad_s: TAU * pole_hz };
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
        processor.set_shape(&change("680p", a, b).shape(Ceiling::default()));
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
            apply.set_shape(&change("680p", "none", load).shape(Ceiling::Off));
            let mut undo = Processor::new(rate_hz, 1).unwrap();
            undo.set_shape(&change("680p", load, "none").shape(Ceiling::Off));
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
        processor.set_shape(&shape);
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
        rate_hz in RATES_HZ.0..=RATES_HZ.1,
    ) {
        let leakage = dsp_core::units::Resistance::from_ohms(10f64.powf(leakage_exponent)).ok();
        let pickup = Pickup { capacitance: Capacitance::from_farads(picofarads * 1e-12).unwrap(), leakage };
        let load = |i: usize| Shunt { siemens: 10f64.powf(-exponents[i]), farads: 100e-12 * metres[i] };
        let to = if unloaded { Shunt::default() } else { load(1) };
        let shape = Change::new(&pickup, load(0), to).shape(Ceiling::default());
        prop_assert!(worst_error_db(&shape, rate_hz) <= BAR_DB);
        let mut processor = Processor::new(rate_hz, 1).unwrap();
        processor.set_guard(false);
        processor.set_shape(&shape);
        let mut input = vec![0.0; 40_000];
        input[0] = 1.0;
        let response = run(&mut processor, &input);
        prop_assert!(response.iter().all(|value| value.is_finite()));
        // A first-order ratio's impulse response falls all the way: the latter half holds less than the former.
        let energy = |part: &[f64]| part.iter().map(|value| value * value).sum::<f64>();
        let (early, late) = response[1..].split_at(20_000);
        prop_assert!(energy(late) <= energy(early), "{shape:?} at {rate_hz} Hz");
        // No more than the circuit's own gain at either end of the band, with the ripple of the approximation beyond it.
        let bound = shape.gain * (shape.zero_rad_s / shape.pole_rad_s).max(1.0);
        prop_assert!(response[0].abs() <= 2.0 * bound, "{shape:?} at {rate_hz} Hz");
    }
}
