//! Led from the first question to the result.

use std::f64::consts::TAU;

use realfft::num_complex::Complex64;

use super::rig::{Rig, raw, write_raw};
use crate::support::{Sandbox, noise};

const RATE: u32 = 48_000;
const OHMS: f64 = 100e3;
const FARADS: f64 = 680e-12;

/// One exponential sweep from 15 Hz to 21 kHz in two seconds (A. Farina, AES convention paper 5093, 2000; from memory), cosine fades of 50 ms,
/// three times with 0.4 s of silence around each.
fn sweep(peak: f64) -> Vec<f64> {
    let octaves = (21_000.0_f64 / 15.0).ln();
    let silence = vec![0.0; 19_200];
    let once: Vec<f64> = (0..96_000)
        .map(|frame| {
            let seconds = f64::from(frame) / f64::from(RATE);
            let edge = (seconds.min(2.0 - seconds) / 0.05).min(1.0);
            let phase = TAU * 15.0 * 2.0 / octaves * (octaves * seconds / 2.0).exp_m1();
            peak * (0.5 - 0.5 * (TAU / 2.0 * edge).cos()) * phase.sin()
        })
        .collect();
    let all = [&silence, &once, &silence, &once, &silence, &once, &silence];
    all.into_iter().flatten().copied().collect()
}

/// What the input hears of a sweep through a circuit: later by 700 frames, with noise of -93 dBFS under it.
fn heard(peak: f64, circuit: impl Fn(f64) -> Complex64) -> Vec<f64> {
    const LENGTH: u32 = 1 << 19;
    let length = LENGTH as usize;
    let (forward, inverse) = (firstjack_fourier::real(length), firstjack_fourier::real_back(length));
    let mut samples = [vec![0.0; 700], sweep(peak)].concat();
    samples.resize(LENGTH as usize, 0.0);
    let mut spectrum = forward.make_output_vec();
    forward.process(&mut samples, &mut spectrum).unwrap();
    for (bin, value) in (0_u32..).zip(&mut spectrum) {
        *value *= circuit(TAU * f64::from(bin) * f64::from(RATE) / f64::from(LENGTH)) / f64::from(LENGTH);
    }
    spectrum[0].im = 0.0;
    spectrum.last_mut().unwrap().im = 0.0;
    let mut samples = inverse.make_output_vec();
    inverse.process(&mut spectrum, &mut samples).unwrap();
    samples.iter().zip(noise(4e-5, LENGTH, 13)).map(|(sample, noise)| sample + noise).collect()
}

/// Straight through, with the gain of an input.
fn straight(gain: f64) -> impl Fn(f64) -> Complex64 {
    move |_| Complex64::new(gain, 0.0)
}

/// Kirchhoff's current law at the node: from the output through 100 kΩ to 1 MΩ, 300 pF of cable, and the pickup.
fn node(gain: f64, pickup_f: f64) -> impl Fn(f64) -> Complex64 {
    move |omega| gain / OHMS / Complex64::new(1.0 / OHMS + 1e-6, omega * (300e-12 + pickup_f))
}

/// The greatest difference of what was played, on both of its channels, from a sweep.
fn played_apart_from(sandbox: &Sandbox, peak: f64) -> f64 {
    let played = raw(&sandbox.path("played.raw"));
    let expected = sweep(peak);
    assert!(played.len() >= 2 * expected.len(), "only {} samples were played", played.len());
    let silence = std::iter::repeat(&0.0);
    let expected = expected.iter().chain(silence).flat_map(|sample| [*sample; 2]);
    played.iter().zip(expected).map(|(played, expected)| (played - expected).abs()).fold(0.0, f64::max)
}

#[test]
fn a_pickup_is_found_and_the_recordings_kept() {
    let mut rig = Rig::new(&["pickup", "--json", "--keep", "kept"]);
    rig.begin();
    for (step, circuit) in [
        ("reference", Box::new(straight(10.0)) as Box<dyn Fn(f64) -> Complex64>),
        ("empty", Box::new(node(10.0, 0.0))),
        ("plugged", Box::new(node(10.0, FARADS))),
    ] {
        write_raw(&rig.sandbox, "heard.raw", &heard(0.01, circuit));
        rig.say("");
        rig.hear(&format!("Recorded as {step}"));
        rig.hear("latency 14.");
        let apart = played_apart_from(&rig.sandbox, 0.01);
        assert!(apart < 1e-8, "what was played is {apart} off the sweep at -40 dBFS");
    }
    let (sandbox, outcome) = rig.end();
    assert_eq!(outcome.code, Some(0), "{outcome:?}");
    let told: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
    let of = |field: &str| told["capacitance_f"][field].as_f64().unwrap();
    assert!((of("low")..=of("high")).contains(&FARADS), "{told}");
    assert!((of("value") / FARADS - 1.0).abs() < 0.04, "{told}");
    assert!(told["refused"].is_null() && told["assumed"].to_string().contains("100 kΩ ±1 %"), "{told}");
    let kept = sandbox.wav("kept/plugged.wav").samples();
    let peak = kept.iter().fold(0.0, |peak: f64, sample| peak.max(sample.abs()));
    assert!((0.085..0.095).contains(&peak), "{peak}: a tenth less what 100 kΩ and 1 MΩ divide by");
    assert!(sandbox.path("kept/reference.wav").exists() && sandbox.path("kept/empty.wav").exists());
}

#[test]
fn the_level_rises_after_a_yes_and_not_before() {
    let mut rig = Rig::new(&["box", "--resistor", "100k ±1%"]);
    write_raw(&rig.sandbox, "heard.raw", &heard(0.01, straight(1.0)));
    rig.begin();
    rig.say("");
    rig.hear("too quiet by 20 dB");
    rig.hear("Raise the level by 20 dB, to -20 dBFS? [y/N]");
    rig.say("");
    rig.hear("k: keep this recording");
    rig.say("");
    rig.hear("Raise the level");
    assert!(played_apart_from(&rig.sandbox, 0.01) < 1e-8, "it is louder without a yes");
    rig.say("y");
    rig.hear("[Enter: start the sweep");
    write_raw(&rig.sandbox, "heard.raw", &heard(0.1, straight(1.0)));
    rig.say("");
    rig.hear("Recorded as reference");
    assert!(played_apart_from(&rig.sandbox, 0.1) < 1e-8, "it is not as loud as was said");
    rig.say("q");
    let (_, outcome) = rig.end();
    assert_eq!(outcome.code, Some(130), "{outcome:?}");
    assert!(outcome.stdout.is_empty() && outcome.stderr.contains("nothing has been written"), "{outcome:?}");
}

/// What is wrong is told, and the step asked for again.
#[test]
fn levels_are_watched() {
    let mut rig = Rig::new(&["pickup"]);
    rig.begin();
    let mut cut = heard(0.01, straight(10.0));
    cut.truncate(300_000);
    cut.resize(500_000, 0.0);
    let clipped: Vec<f64> =
        heard(0.01, straight(200.0)).iter().map(|sample| sample.clamp(-1.0, 1.0)).collect();
    for (samples, said) in [
        (vec![0.0; 500_000], "Nothing arrives at the input"),
        (noise(0.05, 500_000, 7), "Something arrives, but not the sweep"),
        (cut, "Only 2 of 3 sweeps"),
        (clipped, "The input clipped"),
        (heard(0.01, straight(10.0)), "Recorded as reference"),
        (heard(0.01, node(20.0, 0.0)), "louder than the reference, which cannot be"),
        (heard(0.01, node(10.0, 0.0)), "Recorded as empty"),
        (heard(0.01, node(12.0, FARADS)), "louder than the empty lead, which cannot be"),
        (heard(0.01, node(5.0, FARADS)), "The lows are 6."),
    ] {
        write_raw(&rig.sandbox, "heard.raw", &samples);
        rig.say("");
        rig.hear(said);
        rig.hear("[Enter: start the sweep");
    }
    rig.say("maybe");
    rig.hear("none of the answers");
    rig.say("b");
    rig.hear("Output straight into the input");
    rig.say("q");
    assert_eq!(rig.end().1.code, Some(130));
}
