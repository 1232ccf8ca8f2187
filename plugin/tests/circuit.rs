//! Presets with all that a chain can hold, through CLAP: against the core's own rendering, against a formula written out here,
//! and swept. With the allocation guard on, an allocation while that happens would end the test.

mod host;

use std::f64::consts::TAU;
use std::ops::{Add, Div, Mul};

use dsp_core::preset::Preset;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change as CircuitChange, Response, Transfer};
use host::{
    Change, Host, Noise, Sound, assert_close, assert_same, bend, difference, preset, sine, turned_blend,
};

const RATE_HZ: f64 = 48_000.0;
const UNMATCHED: (&str, &str) = ("Level match", "off");
const PRESETS: [&str; 6] =
    ["courtyard", "passive", "blocking", "blend", "magnetic-single", "magnetic-double"];

/// The track of a pickup through a setup, as the core renders it.
fn rendered(preset: &Preset, setup: usize, pickup: usize, track: &[f32]) -> Vec<f32> {
    let heard = &preset.setups[setup];
    let recorded = preset.pickups.with_positions(preset.recorded_at);
    let from = Response::recorded(&recorded, &preset.recorded).parts()[pickup].clone();
    let to = Transfer::of(&preset.pickups.with_positions(heard.positions), pickup, &heard.chain);
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.change(&CircuitChange::new(&from, &to).shape(Ceiling::default()), 1.0).unwrap();
    let mut sound = [track.to_vec()];
    processor.process(&mut sound);
    let [sound] = sound;
    sound
}

fn heard(index: usize) -> String {
    format!("Setup {}", index + 1)
}

/// Of a blend, left is the first pickup's track and right the second's, each through its own change.
#[test]
fn every_setup_of_every_preset_sounds_as_the_core_renders_it() {
    let sound = Noise::new(30).sound(2, 12_000);
    for text in PRESETS.map(preset).into_iter().chain([turned_blend()]) {
        let preset = Preset::from_toml(&text).unwrap();
        let name = &preset.name;
        for index in 0..preset.setups.len() {
            let mut host = Host::with_preset(RATE_HZ, &text, &[("Heard setup", &heard(index)), UNMATCHED]);
            let output = host.run(&sound, 512);
            for (channel, track) in sound.iter().enumerate() {
                let pickup = channel.min(preset.pickups.count() - 1);
                let expected = rendered(&preset, index, pickup, track);
                assert_close(&output[channel], &expected, &format!("{name}, {}, {channel}", heard(index)));
            }
        }
    }
}

#[test]
fn mono_is_the_first_pickup_of_a_blend() {
    let text = turned_blend();
    let preset = Preset::from_toml(&text).unwrap();
    let sound = Noise::new(31).sound(1, 12_000);
    let mut host = Host::new();
    host.select_layout(1);
    host.load_preset(&text);
    host.set("Heard setup", "Setup 3");
    host.set(UNMATCHED.0, UNMATCHED.1);
    host.start(RATE_HZ);
    let first = rendered(&preset, 2, 0, &sound[0]);
    assert_close(&host.run(&sound, 512)[0], &first, "mono");
    assert!(difference(&vec![first], &vec![rendered(&preset, 2, 1, &sound[0])]).is_some());
}

/// Just enough of complex numbers for the formula below.
#[derive(Clone, Copy)]
struct Complex(f64, f64);

impl Add for Complex {
    type Output = Self;
    fn add(self, b: Self) -> Self {
        Self(self.0 + b.0, self.1 + b.1)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, b: Self) -> Self {
        Self(self.0 * b.0 - self.1 * b.1, self.0 * b.1 + self.1 * b.0)
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, b: Self) -> Self {
        let size = b.0 * b.0 + b.1 * b.1;
        self * Self(b.0 / size, -b.1 / size)
    }
}

const ONE: Complex = Complex(1.0, 0.0);

/// |H| in dB of a capacitive pickup of 1 nF on 3 m of cable (100 pF/m) into a transformer: its own capacitance of 330 pF across
/// the jack, 1.5 kΩ of winding, then the primary across the reflected load; heard behind the winding. Kirchhoff by hand.
fn transformer_db(hz: f64, primary_henries: f64, reflected_ohms: f64) -> f64 {
    let w = TAU * hz;
    let core = ONE / (Complex(0.0, -1.0 / (w * primary_henries)) + Complex(1.0 / reflected_ohms, 0.0));
    let winding = Complex(1_500.0, 0.0);
    let source = Complex(0.0, w * 1e-9);
    let load = Complex(0.0, w * 630e-12) + ONE / (winding + core);
    let h = source / (source + load) * (core / (winding + core));
    10.0 * (h.0 * h.0 + h.1 * h.1).log10()
}

/// Level of the second half of a sine, in dB re the same of the input, by the Fourier sum over whole periods.
#[expect(clippy::cast_precision_loss, reason = "frame counts are small")]
fn steady_db(host: &mut Host, hz: f64) -> f64 {
    let sound = sine(2, 96_000, hz, RATE_HZ, 0.01);
    let output = host.run(&sound, 512);
    let power = |samples: &[f32]| {
        let (mut re, mut im) = (0.0, 0.0);
        for (i, sample) in samples.iter().enumerate() {
            let phase = TAU * hz * i as f64 / RATE_HZ;
            re += f64::from(*sample) * phase.cos();
            im += f64::from(*sample) * phase.sin();
        }
        re * re + im * im
    };
    10.0 * (power(&output[0][48_000..]) / power(&sound[0][48_000..])).log10()
}

/// At the preset's values, and at others that parameters were set to. Recorded through nothing, so that only H is heard.
#[test]
fn a_transformer_sounds_as_the_formula_says() {
    for (primary, henries, input, ohms) in [("47 H", 47.0, "216k", 216e3), ("10 H", 10.0, "33k", 33e3)] {
        let settings = [
            ("Heard setup", "Setup 1"),
            ("Recorded through resistance", "none"),
            ("Setup 1 load inductance", primary),
            ("Setup 1 load resistance", input),
            UNMATCHED,
        ];
        for hz in [40.0, 110.0, 440.0, 5_000.0] {
            let mut host = Host::with_preset(RATE_HZ, &preset("passive"), &settings);
            let (measured, expected) = (steady_db(&mut host, hz), transformer_db(hz, henries, ohms));
            assert!((measured - expected).abs() < 0.01, "{primary}, {hz} Hz: {measured}, formula {expected}");
        }
    }
}

/// Values that lie between two ends, which a parameter moves along with their middle.
const RANGES: &str = "version = 5\nname = 'ranges'\npickup = '470p to 4.7n'\nrecorded = '22M'\n[[setup]]\nname = 'passive box'\n\
                      chain = ['1 m to 10 m', { box = 'passive box', transformer = 'usual 140k', capacitance = '100p to 1n' }]\n";

/// A load that is taken away.
const RESTORED: &str = "version = 5\nname = 'restored'\npickup = '680p'\nrecorded = '1M'\n[[setup]]\nname = 'bare'\nload = 'none'\n";

fn text(name: &str) -> String {
    match name {
        "restored" => RESTORED.to_owned(),
        "turned blend" => turned_blend(),
        "ranges" => RANGES.to_owned(),
        name => preset(name),
    }
}

/// Preset, setup and the parameters that act on it.
const SWEEPS: [(&str, &str, [&str; 4]); 6] = [
    (
        "ranges",
        "Setup 1",
        [
            "Setup 1 load inductance",
            "Setup 1 load resistance",
            "Setup 1 load capacitance",
            "Pickup capacitance",
        ],
    ),
    (
        "passive",
        "Setup 4",
        ["Setup 4 load inductance", "Setup 4 load resistance", "Setup 4 cable length", "Pickup capacitance"],
    ),
    (
        "magnetic-single",
        "Setup 4",
        [
            "Pickup inductance",
            "Setup 4 load capacitance",
            "Setup 4 cable length",
            "Recorded through resistance",
        ],
    ),
    (
        "turned blend",
        "Setup 3",
        [
            "Setup 3 load inductance",
            "Pickup capacitance",
            "Setup 3 cable length",
            "Recorded through capacitance",
        ],
    ),
    (
        "blocking",
        "Setup 3",
        ["Setup 3 load resistance", "Pickup capacitance", "Setup 3 cable length", "Undo ceiling"],
    ),
    (
        "restored",
        "Setup 1",
        ["Undo floor", "Undo ceiling", "Pickup capacitance", "Recorded through resistance"],
    ),
];

#[test]
fn sweeps_do_not_depend_on_the_block_size() {
    let sound = Noise::new(32).sound(2, 20_000);
    for (name, setup, parameters) in SWEEPS {
        let mut noise = Noise::new(33);
        let mut changes = Vec::new();
        for frame in (97..19_000).step_by(413) {
            let parameter = parameters[usize::try_from(noise.below(4)).unwrap()];
            changes.push(Change::new(frame, parameter, noise.unit()));
        }
        changes.push(Change::new(19_100, "Heard setup", 0.0));
        let run = |block: usize| {
            let mut host = Host::with_preset(RATE_HZ, &text(name), &[("Heard setup", setup)]);
            host.run_with(&sound, std::iter::repeat(block), &changes)
        };
        let whole = run(20_000);
        for block in [7, 64, 480] {
            assert_same(&run(block), &whole, &format!("{name}, blocks of {block}"));
        }
    }
}

/// A low note, while every parameter of the circuit jumps from one end to the other and back.
#[test]
fn jumps_of_every_parameter_do_not_click() {
    let sound = sine(2, 48_000, 55.0, RATE_HZ, 0.25);
    for (name, setup, parameters) in SWEEPS {
        for parameter in parameters {
            let mut host = Host::with_preset(RATE_HZ, &text(name), &[("Heard setup", setup), UNMATCHED]);
            let rest = host.value(parameter);
            let mut values = [rest, 0.2, 0.8, rest];
            // From one end to the other of what this parameter is made for.
            if ["Undo ceiling", "Undo floor"].contains(&parameter) {
                values = [rest, 0.0, 1.0, rest];
            }
            // How much each value bends the note at rest.
            let mut steady = 0.0f64;
            for value in values {
                host.set_value(parameter, value);
                host.run(&sound, 480);
                let output = host.run(&sound, 480);
                steady = output.iter().map(|channel| bend(channel)).fold(steady, f64::max);
            }
            let changes: Vec<_> =
                (1..4).map(|step| Change::new(step * 9_000, parameter, values[step])).collect();
            let output = host.run_with(&sound, std::iter::repeat(480), &changes);
            for channel in &output {
                // The two ends are not joined to the note before.
                let bend = bend(&channel[1_000..]);
                assert!(bend < 4.0 * steady, "{name}, {parameter}: {bend:e} against {steady:e} at rest");
            }
        }
    }
}

#[test]
fn instances_have_circuits_of_their_own() {
    let sound = Noise::new(37).sound(2, 9_600);
    let texts = [preset("magnetic-single"), turned_blend()];
    let settings = [("Heard setup", "Setup 2")];
    let alone = texts.each_ref().map(|text| Host::with_preset(RATE_HZ, text, &settings).run(&sound, 480));
    assert!(difference(&alone[0], &alone[1]).is_some());
    let mut hosts = texts.map(|text| Host::with_preset(RATE_HZ, &text, &settings));
    let mut together: [Sound; 2] = [vec![Vec::new(); 2], vec![Vec::new(); 2]];
    for start in (0..9_600).step_by(480) {
        let part: Sound = sound.iter().map(|channel| channel[start..start + 480].to_vec()).collect();
        for (host, together) in hosts.iter_mut().zip(&mut together) {
            let output = host.run(&part, 480);
            together.iter_mut().zip(output).for_each(|(all, part)| all.extend(part));
        }
    }
    for (together, alone) in together.iter().zip(&alone) {
        assert_same(together, alone, "side by side");
    }
}

/// Reset reproduces the first run with every kind of circuit.
#[test]
fn reset_repeats_the_first_run_to_the_bit() {
    let sound = Noise::new(38).sound(2, 24_000);
    for text in PRESETS.map(preset).into_iter().chain([turned_blend()]) {
        let mut host = Host::with_preset(RATE_HZ, &text, &[("Heard setup", "Setup 3")]);
        let first = host.run(&sound, 512);
        host.reset();
        assert_same(&host.run(&sound, 512), &first, &text);
    }
}
