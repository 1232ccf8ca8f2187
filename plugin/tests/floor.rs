//! The undo floor, through CLAP: against the core's rendering, which is the program's, against a formula written out here, and with the level match. With the
//! allocation guard on, an allocation while that happens would end the test.

mod host;

use std::f64::consts::TAU;

use dsp_core::preset::Preset;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change as CircuitChange, Floor, Response, Shape, Transfer};
use ebur128::{EbuR128, Mode};
use host::{Change, Host, Noise, Sound, assert_close, assert_same, difference, packed, preset, sine};

const RATE_HZ: f64 = 48_000.0;
const UNMATCHED: (&str, &str) = ("Level match", "off");

/// A take that an input of 1 MΩ had thinned out, without any load and through another one.
const RESTORED: &str = "version = 5\nname = 'restored'\ninstrument = 'guitarron'\npickup = '680p'\nrecorded = '1M'\n\
                        [[setup]]\nname = 'bare'\nload = 'none'\n[[setup]]\nname = 'combo'\nload = '470k'\n";

/// Two pickups that were recorded through little, heard together.
fn restored_blend() -> String {
    let text = preset("blend").replace("recorded = { load = \"10M\" }", "recorded = { load = \"470k\" }");
    assert_ne!(text, preset("blend"));
    text
}

/// What `firstjack render --undo-floor` does to each track, by the same core.
fn shapes(preset: &Preset, setup: usize, floor: Option<Floor>) -> Vec<Shape> {
    let heard = &preset.setups[setup];
    let recorded = preset.pickups.with_positions(preset.recorded_at);
    let take = Response::recorded(&recorded, &preset.recorded);
    let pickups = preset.pickups.with_positions(heard.positions);
    let shape = |pickup: usize| {
        let to = Transfer::of(&pickups, pickup, &heard.chain);
        CircuitChange::new(&take.parts()[pickup], &to).shape(Ceiling::default())
    };
    let shapes: Vec<Shape> = (0..preset.pickups.count()).map(shape).collect();
    match floor.filter(|floor| floor.ends(&shapes)) {
        Some(floor) => shapes.iter().map(|shape| floor.under(shape)).collect(),
        None => shapes,
    }
}

fn rendered(shape: &Shape, track: &[f32]) -> Vec<f32> {
    let mut processor = Processor::new(RATE_HZ, 1).unwrap();
    processor.change(shape, 1.0).unwrap();
    let mut sound = [track.to_vec()];
    processor.process(&mut sound);
    let [sound] = sound;
    sound
}

/// Also of a blend, both of whose tracks come down as soon as one of them is lifted, and of a load that is put on, where nothing does.
#[test]
fn an_undo_comes_down_as_the_core_renders_it() {
    let sound = Noise::new(50).sound(2, 24_000);
    let mut has_come_down = Vec::new();
    for text in [RESTORED.to_owned(), restored_blend(), preset("courtyard")] {
        let preset = Preset::from_toml(&text).unwrap();
        for (typed, floor) in [
            ("off", None),
            ("27.5 Hz", Some(Floor { hz: 27.5 })),
            ("20.6 Hz", Some(Floor { hz: 20.6 })),
            ("3.1 Hz", Some(Floor { hz: 3.1 })),
        ] {
            for index in 0..preset.setups.len() {
                let setup = format!("Setup {}", index + 1);
                let settings = [("Heard setup", setup.as_str()), UNMATCHED, ("Undo floor", typed)];
                let output = Host::with_preset(RATE_HZ, &text, &settings).run(&sound, 512);
                let shapes = shapes(&preset, index, floor);
                for (channel, track) in sound.iter().enumerate() {
                    let expected = rendered(&shapes[channel.min(shapes.len() - 1)], track);
                    assert_close(&output[channel], &expected, &format!("{}, {setup}, {typed}", preset.name));
                }
                has_come_down.push(shapes != self::shapes(&preset, index, None));
            }
        }
    }
    // Or else the test would not tell.
    assert!(has_come_down.contains(&true) && has_come_down.contains(&false), "{has_come_down:?}");
}

/// Level of the second second of a sine, in dB re the same of the input, by the Fourier sum over whole periods.
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

/// The inverse of the load's high-pass within the ceiling, `(f² + fA²)/(f² + fA² 10^(-24/10))`, and Butterworth's high-pass of second order,
/// `1/(1 + (fc/f)⁴)` (textbook), in power.
#[test]
fn an_undo_with_a_floor_sounds_as_the_formula_says() {
    let from_hz = 1.0 / (TAU * 1e6 * 680e-12);
    for (typed, floor_hz) in [("27.5 Hz", 27.5), ("41 Hz", 41.0)] {
        let settings = [("Heard setup", "Setup 1"), UNMATCHED, ("Undo floor", typed)];
        for hz in [8.0_f64, 27.0, 55.0, 440.0] {
            let mut host = Host::with_preset(RATE_HZ, RESTORED, &settings);
            let undo = (hz.powi(2) + from_hz.powi(2)) / (hz.powi(2) + (from_hz * 10f64.powf(-1.2)).powi(2));
            let expected = 10.0 * (undo / (1.0 + (floor_hz / hz).powi(4))).log10();
            let measured = steady_db(&mut host, hz);
            assert!((measured - expected).abs() < 0.005, "{typed}, {hz} Hz: {measured}, formula {expected}");
        }
    }
}

/// What lifts no lows is the same to the bit, whatever the floor.
#[test]
fn a_load_that_is_put_on_has_no_floor() {
    let sound = Noise::new(51).sound(2, 24_000);
    for heard in ["Setup 2", "As recorded"] {
        let run = |floor| {
            let settings = [("Heard setup", heard), UNMATCHED, ("Undo floor", floor)];
            Host::with_preset(RATE_HZ, RESTORED, &settings).run(&sound, 512)
        };
        assert_same(&run("27.5 Hz"), &run("off"), heard);
    }
}

/// From a tenth of a string to its double and off again, a value for every few frames: the sound does not depend on how it is cut, and lands where it would
/// have been from the start.
#[test]
fn a_floor_that_is_automated_lands() {
    let sound = Noise::new(52).sound(2, 96_000);
    let mut host = Host::with_preset(RATE_HZ, RESTORED, &[("Heard setup", "Setup 1"), UNMATCHED]);
    let half = host.read("Undo floor", "27.5 Hz").unwrap();
    let mut changes: Vec<Change> = (0..2_000_u32)
        .map(|step| Change::new(usize::try_from(step).unwrap() * 24, "Undo floor", f64::from(step) / 2_000.0))
        .collect();
    changes.push(Change::new(48_000, "Undo floor", half));
    let whole = host.run_with(&sound, std::iter::repeat(96_000), &changes);
    let mut cut = Host::with_preset(RATE_HZ, RESTORED, &[("Heard setup", "Setup 1"), UNMATCHED]);
    assert_same(&cut.run_with(&sound, std::iter::repeat(77), &changes), &whole, "cut");
    let settings = [("Heard setup", "Setup 1"), UNMATCHED, ("Undo floor", "27.5 Hz")];
    let still = Host::with_preset(RATE_HZ, RESTORED, &settings).run(&sound, 512);
    for (whole, still) in whole.iter().zip(&still) {
        let peak = still.iter().fold(0.0f32, |peak, x| peak.max(x.abs()));
        let off =
            whole[72_000..].iter().zip(&still[72_000..]).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
        assert!(off < 1e-3 * peak, "{off:e} of {peak:e}");
    }
}

/// Loudness of a second in LUFS, by an independent implementation of ITU-R BS.1770.
fn loudness(sound: &Sound, from: usize) -> f64 {
    let mut meter = EbuR128::new(2, 48_000, Mode::I | Mode::M | Mode::S).unwrap();
    let parts: Vec<&[f32]> = sound.iter().map(|channel| &channel[from..from + 48_000]).collect();
    meter.add_frames_planar_f32(&parts).unwrap();
    meter.loudness_window(1000).unwrap()
}

/// Low notes, so that the floor takes most of what is heard: the gains know it.
#[test]
fn the_level_match_knows_the_floor() {
    let take = sine(2, 6 * 48_000, 55.0, RATE_HZ, 0.2);
    let off_lu = |floor, level_match| {
        let settings = [("Heard setup", "Setup 1"), ("Undo floor", floor), ("Level match", level_match)];
        let output = Host::with_preset(RATE_HZ, RESTORED, &settings).run(&take, 512);
        loudness(&output, 5 * 48_000) - loudness(&take, 5 * 48_000)
    };
    // `10 log10(1 + (110/55)⁴)` = 12.3 dB (Butterworth).
    let taken = off_lu("off", "off") - off_lu("110 Hz", "off");
    assert!((taken - 12.3).abs() < 0.1, "{taken} LU");
    for floor in ["off", "110 Hz"] {
        let off = off_lu(floor, "on");
        assert!(off.abs() < 0.3, "{floor}: {off} LU");
    }
}

/// A project of format 6 sounds as it did, to the bit: the state and every 331st frame are of the first version that wrote it.
#[test]
fn a_state_of_format_6_sounds_as_it_did() {
    const FRAMES: usize = 12_000;
    let state = packed(include_str!("fixtures/format-6.json"));
    let sound = Noise::new(53).sound(2, FRAMES);
    let mut recorded = include_str!("fixtures/format-6.bits").lines();
    for setup in 1..=2 {
        let mut host = Host::new();
        assert!(host.load(&state));
        assert_eq!(host.text("Undo floor"), "27.5 Hz");
        host.set("Level match", "off");
        host.set("Heard setup", &format!("Setup {setup}"));
        host.start(RATE_HZ);
        let output = host.run(&sound, 512);
        for frame in (0..FRAMES).step_by(331) {
            for (channel, bits) in recorded.next().unwrap().split(' ').enumerate() {
                let expected = u32::from_str_radix(bits, 16).unwrap();
                assert_eq!(output[channel][frame].to_bits(), expected, "setup {setup}, frame {frame}");
            }
        }
    }
    assert_eq!(recorded.next(), None);
    // Or else it would not tell: without the floor it is another sound.
    let mut host = Host::new();
    assert!(host.load(&state));
    host.set("Undo floor", "off");
    host.start(RATE_HZ);
    let without = host.run(&sound, 512);
    let mut host = Host::new();
    assert!(host.load(&state));
    host.start(RATE_HZ);
    assert!(difference(&host.run(&sound, 512), &without).is_some());
}
