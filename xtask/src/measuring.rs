//! The demo's pickup measured as a person would do it: the test sound through the measuring lead into an interface, which is simulated here
//! with its latency, its noise and the hum of a stage.

use std::f64::consts::TAU;
use std::ffi::OsString;
use std::path::Path;
use std::process::Stdio;

use anyhow::{Context, Result, ensure};
use dsp_core::circuit::{Chain, Element, Pickups};
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Transfer};
use dsp_core::units::Load;
use realfft::num_complex::Complex64;

use crate::built::Built;
use crate::{shell, take};

const RATE_HZ: u32 = 48_000;

/// What the lead is said to have, and what it has.
const RESISTOR_SAID: &str = "100k ±1%";
const RESISTOR_OHMS: f64 = 100_400.0;

/// What the interface's input has, with its end of the lead.
const INPUT_OHMS: f64 = 1.02e6;
const INPUT_F: f64 = 215e-12;

/// From output to input.
const GAIN: f64 = 1.4;
const LATENCY_SECONDS: f64 = 0.0117;

/// Noise and hum of a recording, rms against full scale: -84 and -62 dB.
const NOISE_RMS: f64 = 6.3e-5;
const HUM_RMS: f64 = 8e-4;
const MAINS_HZ: f64 = 50.0;

/// A value as it is in what the program tells: its key, its name, what is there, and the unit in which it is shown.
type PutIn = (&'static str, &'static str, f64, (f64, &'static str));

/// Measures a pickup, and prints what was found beside what is there.
pub fn run(built: &Built, folder: &Path, pickups: &Pickups) -> Result<()> {
    let Element::Capacitive(pickup) = pickups.pickup(0).element else {
        anyhow::bail!("the demo's pickup is a capacitor");
    };
    let capacitance_f = pickup.capacitance.farads();
    println!("\nThe pickup, measured from simulated recordings: what was put in, and what was found");
    println!("by sweeps, with hum and noise:");
    let picofarads = (1e12, "pF");
    let put_in = [
        ("capacitance_f", "capacitance", capacitance_f, picofarads),
        ("input_ohms", "input", INPUT_OHMS, (1e-3, "kΩ")),
        ("input_f", "input's capacitance", INPUT_F, picofarads),
    ];
    compare(built, sweeps(built, folder, capacitance_f)?, &folder.join("measured.svg"), &put_in)?;
    println!("by held notes, with a resistor switched in and out:");
    let put_in = [("total_capacitance_f", "capacitance", capacitance_f, picofarads)];
    compare(built, toggles(folder, pickups)?, &folder.join("measured-by-notes.svg"), &put_in)
}

fn compare(built: &Built, arguments: Vec<OsString>, picture: &Path, put_in: &[PutIn]) -> Result<()> {
    let mut measure = built.program();
    measure.args(arguments).args(["--overwrite", "--json", "--picture"]).arg(picture);
    let done = measure.output().context("cannot start the program")?;
    ensure!(done.status.success(), "measuring failed: {}", String::from_utf8_lossy(&done.stderr));
    let found: serde_json::Value = serde_json::from_slice(&done.stdout)?;
    for (key, name, there, (scale, unit)) in put_in {
        let part = |part: &str| found[key][part].as_f64().with_context(|| format!("{key}.{part} is missing"));
        let (value, low, high) = (part("value")?, part("low")?, part("high")?);
        let [shown, value, from, to] =
            [*there, value, low, high].map(|value| format!("{:.0}", value * scale));
        println!("  {name:20} {shown:>5} {unit}   {value:>5} {unit}, between {from} and {to}");
        ensure!((low..=high).contains(there), "{name}: {there} is not within {low} to {high}");
    }
    Ok(())
}

/// Records all that finds such a pickup by sweeps, and gives the arguments by which it is found.
pub fn sweeps(built: &Built, folder: &Path, capacitance_f: f64) -> Result<Vec<OsString>> {
    let sweep = folder.join("measure-sweep.wav");
    shell::run(
        built
            .program()
            .args(["measure", "sweep", "--overwrite", "--rate", &RATE_HZ.to_string(), "-o"])
            .arg(&sweep)
            .stdout(Stdio::null()),
    )?;
    let sound = read(&sweep)?;
    let mut arguments = ["measure", "pickup", "--resistor", RESISTOR_SAID].map(OsString::from).to_vec();
    for (seed, (step, shunt_f)) in
        (1..).zip([("reference", None), ("empty", Some(INPUT_F)), ("plugged", Some(INPUT_F + capacitance_f))])
    {
        let path = folder.join(format!("measure-{step}.wav"));
        write(&path, &recorded(&sound, shunt_f, seed)?)?;
        arguments.extend([format!("--{step}").into(), path.into()]);
    }
    Ok(arguments)
}

/// Eight held notes of the guitarrón while 56 kΩ are switched in and out beside 1 MΩ, three times each, and the arguments by which its pickup
/// is found.
pub fn toggles(folder: &Path, pickups: &Pickups) -> Result<Vec<OsString>> {
    let rate_hz = f64::from(RATE_HZ);
    let notes = take::held_notes(rate_hz);
    let through = |load: &str| -> Result<Vec<f64>> {
        let loaded = Transfer::new(pickups, &Chain::from(&load.parse::<Load>()?));
        let mut input = Processor::new(rate_hz, 1)?;
        let change = Change::new(&Transfer::new(pickups, &Chain::default()), &loaded);
        input.change(&change.shape(Ceiling::Off), 1.0)?;
        let mut sound = [notes.clone()];
        input.process(&mut sound);
        let [sound] = sound;
        Ok(sound)
    };
    let (alone, beside) = (through("1M")?, through("1M || 56k")?);
    let mark = |mark: u32| 1.7 + f64::from(mark / 3) * take::HELD_S + f64::from(mark % 3);
    let marks: Vec<f64> = (0..24).map(mark).collect();
    let noise = take::noise_floor(rate_hz, notes.len(), NOISE_RMS, 4);
    let heard = (0_u32..).zip(alone.iter().zip(&beside)).map(|(frame, (alone, beside))| {
        let switched = marks.iter().filter(|mark| **mark <= f64::from(frame) / rate_hz).count();
        if switched % 2 == 0 { alone } else { beside }
    });
    let path = folder.join("measure-toggles.wav");
    write(&path, &heard.zip(noise).map(|(heard, noise)| heard + noise).collect::<Vec<_>>())?;
    let marks: Vec<String> = marks.iter().map(f64::to_string).collect();
    let arguments =
        ["measure", "toggle", "--load-a", "1M", "--added", "56k ±1%", "--marks", &marks.join(" ")];
    Ok(arguments.into_iter().map(OsString::from).chain([path.into()]).collect())
}

/// What the interface records of a sound, with so much capacitance behind the resistor, or straight from its output.
fn recorded(sound: &[f64], shunt_f: Option<f64>, seed: u64) -> Result<Vec<f64>> {
    let length = (sound.len() + usize::try_from(RATE_HZ)? / 2).next_power_of_two();
    let (forward, inverse) = (firstjack_fourier::real(length), firstjack_fourier::real_back(length));
    let mut signal = forward.make_input_vec();
    signal[..sound.len()].copy_from_slice(sound);
    let mut spectrum = forward.make_output_vec();
    forward.process(&mut signal, &mut spectrum)?;
    let step_hz = f64::from(RATE_HZ) / f64::from(u32::try_from(length)?);
    for (bin, value) in (0_u32..).zip(&mut spectrum) {
        let omega = TAU * step_hz * f64::from(bin);
        // A divider of the resistor and what stands at the node (Ohm).
        let node = shunt_f.map_or(Complex64::from(1.0), |shunt_f| {
            let shunt = Complex64::new(1.0 / INPUT_OHMS, omega * shunt_f);
            1.0 / (1.0 + RESISTOR_OHMS * shunt)
        });
        *value *=
            node * Complex64::from_polar(GAIN / f64::from(u32::try_from(length)?), -omega * LATENCY_SECONDS);
    }
    let last = spectrum.len() - 1;
    spectrum[last].im = 0.0;
    inverse.process(&mut spectrum, &mut signal)?;
    let noise = take::noise_floor(f64::from(RATE_HZ), length, NOISE_RMS, seed);
    let hum = |frame: u32| {
        let phase = TAU * MAINS_HZ * f64::from(frame) / f64::from(RATE_HZ);
        HUM_RMS * ((phase + 0.4).sin() + 0.5 * (3.0 * phase + 1.1).sin() + 0.2 * (7.0 * phase).sin())
    };
    Ok((0..)
        .zip(signal.iter().zip(noise))
        .map(|(frame, (sound, noise))| sound + noise + hum(frame))
        .collect())
}

/// A file of one channel of 24 bits.
fn read(path: &Path) -> Result<Vec<f64>> {
    let mut reader = hound::WavReader::open(path)?;
    let samples = reader.samples::<i32>();
    samples.map(|sample| Ok(f64::from(sample?) / FULL_SCALE)).collect()
}

fn write(path: &Path, sound: &[f64]) -> Result<()> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE_HZ,
        bits_per_sample: 24,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, spec)?;
    sound.iter().try_for_each(|sample| writer.write_sample(stored(*sample)))?;
    Ok(writer.finalize()?)
}

/// Of 24 bits.
const FULL_SCALE: f64 = 8_388_608.0;

#[expect(clippy::cast_possible_truncation, reason = "within 24 bits")]
fn stored(sample: f64) -> i32 {
    (sample * FULL_SCALE).round().clamp(-FULL_SCALE, FULL_SCALE - 1.0) as i32
}
