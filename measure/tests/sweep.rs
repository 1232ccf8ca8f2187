//! Measurements of sweeps through circuits by the formula of a divider, taken through the spectrum of the whole test sound.

use std::f64::consts::PI;

use dsp_core::units::{Capacitance, Resistance};
use firstjack_measure::sweep::{self, Known, Sweep};
use firstjack_measure::{Estimate, Measured, Recording, Refusal};
use realfft::num_complex::Complex;

const RATE_HZ: f64 = 48e3;
const INPUT_OHMS: f64 = 1e6;
const INPUT_FARADS: f64 = 300e-12;
const OUTPUT_OHMS: f64 = 100.0;

/// The test sound through a response, at -20 dBFS.
fn recorded(response: impl Fn(Complex<f64>) -> Complex<f64>) -> Recording {
    let mut samples = Sweep::new(RATE_HZ, -20.0).samples();
    let length = samples.len();
    let forward = firstjack_fourier::real(length);
    let mut bins = forward.make_output_vec();
    forward.process(&mut samples, &mut bins).unwrap();
    let mut hz = 0.0;
    for bin in &mut bins {
        *bin *= response(Complex::new(0.0, 2.0 * PI * f64::max(hz, 1e-3)));
        hz += RATE_HZ / 364_800.0;
    }
    let last = bins.len() - 1;
    (bins[0].im, bins[last].im) = (0.0, 0.0);
    firstjack_fourier::real_back(length).process(&mut bins, &mut samples).unwrap();
    let samples = samples.iter().map(|sample| sample / 364_800.0).collect();
    Recording { rate_hz: RATE_HZ, samples }
}

/// The node behind a resistor, with an admittance beside the input.
fn node(series_ohms: f64, beside: impl Fn(Complex<f64>) -> Complex<f64>) -> Recording {
    recorded(|s| {
        let input = s * INPUT_FARADS + 1.0 / INPUT_OHMS;
        1.0 / ((input + beside(s)) * (OUTPUT_OHMS + series_ohms) + 1.0)
    })
}

fn nothing(_: Complex<f64>) -> Complex<f64> {
    Complex::new(0.0, 0.0)
}

fn coil(s: Complex<f64>) -> Complex<f64> {
    let inside = (s * 4.0).inv() + 1.0 / 400e3;
    (inside.inv() + 8e3).inv() + s * 120e-12
}

fn resistor() -> Known {
    Known::Resistor("100k ±1%".parse().unwrap())
}

/// Reference, empty, and what is told.
struct Bench {
    reference: Recording,
    empty: Recording,
}

impl Bench {
    fn new() -> Self {
        Self { reference: node(0.0, nothing), empty: node(100e3, nothing) }
    }

    fn pickup(&self, plugged: &Recording) -> Measured {
        sweep::pickup(&self.reference, &self.empty, plugged, &resistor())
    }

    fn refusal(&self, plugged: &Recording) -> Refusal {
        refusal(&self.pickup(plugged))
    }
}

fn refusal(measured: &Measured) -> Refusal {
    assert_eq!(measured.found, firstjack_measure::Found::default(), "a refusal tells nothing");
    measured.refused.clone().expect("refused")
}

fn louder(recording: &Recording, db: f64) -> Recording {
    let gain = 10f64.powf(db / 20.0);
    Recording { samples: recording.samples.iter().map(|sample| gain * sample).collect(), ..recording.clone() }
}

/// Within a part of the truth, which the interval holds.
fn assert_near(estimate: Option<Estimate>, truth: f64, part: f64) {
    let Estimate { value, low, high } = estimate.expect("told");
    assert!((value / truth - 1.0).abs() < part, "{value} for {truth}");
    assert!(low < truth && truth < high, "{low} to {high} for {truth}");
}

#[test]
fn a_capacitor_and_the_input_are_what_they_are() {
    let bench = Bench::new();
    for farads in [200e-12, 680e-12, 5e-9, 20e-9] {
        let measured = bench.pickup(&node(100e3, |s| s * farads));
        assert_eq!(measured.refused, None, "{farads}");
        assert_near(measured.found.capacitance_f, farads, 2e-3);
        assert_near(measured.found.input_ohms, INPUT_OHMS, 5e-3);
        assert_near(measured.found.input_f, INPUT_FARADS, 2e-3);
        let half =
            (measured.found.capacitance_f.unwrap().high / measured.found.capacitance_f.unwrap().value).ln();
        // 1 % of the resistor and 5 % of the mechanics at right angles.
        assert!((half - (0.02 / 3f64.sqrt()).hypot(0.05)).abs() < 1e-3, "{half}");
    }
}

#[test]
fn a_part_without_a_tolerance_is_taken_to_have_one() {
    let bench = Bench::new();
    let plugged = node(100e3, |s| s * 680e-12);
    let known = Known::Resistor(Resistance::from_ohms(100e3).unwrap());
    let measured = sweep::pickup(&bench.reference, &bench.empty, &plugged, &known);
    assert!(measured.remarks.iter().any(|remark| remark.contains("±5 %")), "{:?}", measured.remarks);
    let told = measured.found.capacitance_f.unwrap();
    assert!(((told.high / told.value).ln() - (0.1 / 3f64.sqrt()).hypot(0.05)).abs() < 1e-3);
}

#[test]
fn a_coil_is_what_it_is() {
    let bench = Bench::new();
    let measured = sweep::coil(&bench.reference, &bench.empty, &node(100e3, coil), &resistor());
    assert_eq!(measured.refused, None);
    assert_near(measured.found.inductance_h, 4.0, 5e-3);
    assert_near(measured.found.resistance_ohms, 8e3, 5e-3);
    assert_near(measured.found.loss_ohms, 400e3, 1e-2);
    assert_near(measured.found.winding_f, 120e-12, 1e-2);
}

/// A box behind 1 nF, and driven directly.
fn boxed(input: impl Fn(Complex<f64>) -> Complex<f64>) -> Measured {
    let through =
        |series: f64| recorded(|s| 1.0 / (input(s) * ((s * 1e-9).inv() * series + OUTPUT_OHMS) + 1.0));
    let known = Known::Capacitor("1n ±5%".parse::<Capacitance>().unwrap());
    sweep::input_box(&through(0.0), &through(1.0), &known)
}

#[test]
fn a_box_is_told_with_what_shows() {
    let plain = boxed(|s| s * 150e-12 + 1.0 / 470e3).found;
    assert_near(plain.input_ohms, 470e3, 5e-3);
    assert_near(plain.input_f, 150e-12, 1e-2);
    assert_eq!((plain.blocking_f, plain.primary_h), (None, None));
    let blocked = boxed(|s| s * 150e-12 + ((s * 10e-9).inv() + 220e3).inv()).found;
    assert_near(blocked.input_ohms, 220e3, 5e-3);
    assert_near(blocked.blocking_f, 10e-9, 2e-2);
    // The primary across its resistance, behind its winding: parallel and series (Ohm).
    let transformer = boxed(|s| s * 150e-12 + (((s * 50.0).inv() + 1.0 / 140e3).inv() + 2.5e3).inv()).found;
    assert_near(transformer.input_ohms, 140e3, 5e-3);
    // Less than the others, since a winding of 2 kΩ is what is thought of first.
    assert_near(transformer.primary_h, 50.0, 1e-2);
}

#[test]
fn wrong_files_are_refused_by_name() {
    let bench = Bench::new();
    let good = node(100e3, |s| s * 680e-12);
    let with_rate = |rate_hz| Recording { rate_hz, ..good.clone() };
    assert_eq!(bench.refusal(&with_rate(8e3)), Refusal::Rate { recording: "plugged", hz: 8e3 });
    let differ = Refusal::RatesDiffer { recording: "plugged", hz: 44.1e3, reference_hz: 48e3 };
    assert_eq!(bench.refusal(&with_rate(44.1e3)), differ);
    let long =
        Recording { samples: good.samples.iter().copied().cycle().take(5_000_000).collect(), ..good.clone() };
    assert!(matches!(bench.refusal(&long), Refusal::TooLong { recording: "plugged", .. }));
    let cut = |frames| Recording { samples: good.samples[..frames].to_vec(), ..good.clone() };
    assert_eq!(bench.refusal(&cut(250_000)), Refusal::SweepsMissing { recording: "plugged", found: 2 });
    assert_eq!(bench.refusal(&cut(30_000)), Refusal::Shorted);
    let backwards = Recording { samples: good.samples.iter().rev().copied().collect(), ..good.clone() };
    let measured = sweep::pickup(&backwards, &bench.empty, &good, &resistor());
    assert_eq!(refusal(&measured), Refusal::NoSweep { recording: "reference" });
    let empty = Recording { samples: Vec::new(), ..good };
    assert_eq!(bench.refusal(&empty), Refusal::Silent { recording: "plugged" });
}

#[test]
fn what_works_on_the_sound_is_refused() {
    let bench = Bench::new();
    let good = node(100e3, |s| s * 680e-12);
    let mapped = |map: &dyn Fn(f64) -> f64| Recording {
        samples: good.samples.iter().map(|x| map(*x)).collect(),
        ..good.clone()
    };
    assert_eq!(bench.refusal(&mapped(&|x| x.clamp(-0.07, 0.07))), Refusal::Clipped { recording: "plugged" });
    let bent = bench.refusal(&mapped(&|x| (10.0 * x).tanh() / 10.0));
    assert!(matches!(bent, Refusal::Distorted { recording: "plugged", .. }), "{bent}");
    let mut creeping = good.clone();
    let mut gain = 1.0;
    for sample in &mut creeping.samples {
        *sample *= gain;
        gain *= 1.0 - 5e-7;
    }
    assert!(matches!(bench.refusal(&creeping), Refusal::Uneven { recording: "plugged", .. }));
}

#[test]
fn levels_that_no_circuit_explains_are_refused() {
    let bench = Bench::new();
    let good = node(100e3, |s| s * 680e-12);
    let of = |reference: &Recording, empty: &Recording, plugged: &Recording| {
        refusal(&sweep::pickup(reference, empty, plugged, &resistor()))
    };
    let refused = of(&bench.empty, &bench.reference, &good);
    assert!(matches!(refused, Refusal::LouderThanReference { recording: "empty", .. }), "{refused}");
    assert!(matches!(of(&bench.reference, &good, &bench.empty), Refusal::Swapped { .. }));
    assert!(matches!(of(&louder(&bench.reference, 3.0), &bench.empty, &good), Refusal::EmptyTooLow { .. }));
    let refused = bench.refusal(&louder(&good, -3.0));
    let Refusal::GainChanged { db } = refused else { panic!("{refused}") };
    assert!((db + 3.0).abs() < 0.05, "{db}");
}

#[test]
fn what_is_no_capacitor_is_refused() {
    let bench = Bench::new();
    assert!(matches!(bench.refusal(&bench.empty), Refusal::NothingPlugged { .. }));
    let active = |_| Complex::new(1.0 / 2e3, 0.0);
    assert!(matches!(bench.refusal(&node(100e3, active)), Refusal::Active { .. }));
    assert_eq!(bench.refusal(&node(100e3, coil)), Refusal::LikeACoil);
    let capacitor = node(100e3, |s| s * 680e-12);
    let measured = sweep::coil(&bench.reference, &bench.empty, &capacitor, &resistor());
    assert_eq!(refusal(&measured), Refusal::LikeACapacitor);
    // A notch at 2 kHz, which is none of these.
    let odd = |s: Complex<f64>| (s * 0.5 + (s * 12.7e-9).inv() + 2e3).inv();
    assert!(matches!(bench.refusal(&node(100e3, odd)), Refusal::Unexplained { .. }));
}

#[test]
fn a_box_that_cannot_be_told_is_refused() {
    let far = boxed(|s| s * 100e-12 + 1.0 / 300e6);
    assert!(matches!(refusal(&far), Refusal::TooWide { .. }));
    let low = boxed(|s| s * 900e-12 + 1.0 / 470e3);
    assert!(matches!(refusal(&low), Refusal::BoxTooLow { .. }));
}

#[test]
fn one_step_is_watched_by_itself() {
    let good = node(100e3, |s| s * 680e-12);
    let levels = sweep::levels(&good);
    assert_eq!((levels.sweeps_found, levels.clipped), (Sweep::COUNT, false));
    let loud = Recording {
        samples: good.samples.iter().map(|x| (20.0 * x).clamp(-1.0, 1.0)).collect(),
        ..good.clone()
    };
    let levels = sweep::levels(&loud);
    assert!(levels.clipped && levels.peak_db == 0.0, "{levels:?}");
    let nothing = sweep::levels(&Recording { rate_hz: RATE_HZ, samples: vec![0.0; 1_000] });
    assert_eq!((nothing.sweeps_found, nothing.peak_db), (0, f64::NEG_INFINITY));
}
