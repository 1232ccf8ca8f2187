//! States of format 1: they are read, and sound, as they did.

mod host;

use host::{Host, Noise, assert_same, packed};
use serde_json::{Value, json};

fn unpacked(state: &[u8]) -> Value {
    serde_json::from_slice(&state[8..]).unwrap()
}

/// A project of version 1 sounds as it did, to the bit: every setup of it, heard from the start. (The way from one to another is another since
/// format 3, and so are the matching gains, which followed the last four seconds.)
///
/// The state was saved by the last version that wrote format 1 (revision 372225f); every 331st frame by the last one whose corners
/// glided (revision fb34018), which played that state as the former did.
#[test]
fn a_state_of_format_1_sounds_as_it_did() {
    const FRAMES: usize = 12_000;
    let state = packed(include_str!("fixtures/format-1.json"));
    let sound = Noise::new(40).sound(2, FRAMES);
    let mut recorded = include_str!("fixtures/format-1.bits").lines();
    for setup in 1..=6 {
        let mut host = Host::new();
        assert!(host.load(&state));
        host.set("Level match", "off");
        host.set("Heard setup", &format!("Setup {setup}"));
        host.start(48_000.0);
        let output = host.run_with(&sound, std::iter::repeat(512), &[]);
        for frame in (0..FRAMES).step_by(331) {
            for (channel, bits) in recorded.next().unwrap().split(' ').enumerate() {
                let expected = u32::from_str_radix(bits, 16).unwrap();
                assert_eq!(output[channel][frame].to_bits(), expected, "setup {setup}, frame {frame}");
            }
        }
    }
    assert_eq!(recorded.next(), None);
}

/// Saved anew it is of format 6, without a circuit, anything learned or a view, and sounds the same.
#[test]
fn a_state_of_format_1_stays_plain() {
    let mut host = Host::new();
    assert!(host.load(&packed(include_str!("fixtures/format-1.json"))));
    let saved = host.save();
    assert_eq!(
        unpacked(&saved)["fields"],
        json!({ "format": "6", "circuit": "\"\"", "music": r#"{"seconds":0.0,"tracks":[]}"#, "view": "{}" })
    );
    let sound = Noise::new(40).sound(2, 24_000);
    host.start(48_000.0);
    let mut again = Host::new();
    assert!(again.load(&saved));
    again.start(48_000.0);
    assert_same(&again.run(&sound, 512), &host.run(&sound, 512), "saved anew");
}

/// A state of version 1 that was not written by this build.
#[test]
fn a_written_state_of_format_1_is_read() {
    let json = json!({
        "version": "0.1.0",
        "params": {
            "heard": { "string": "setup-2" }, "bypass": { "bool": false }, "pickup_c": { "f32": 1000.0 },
            "through_r": { "f32": 10e6 }, "through_c": { "f32": 47.0 }, "ceiling": { "f32": 60.0 },
            "match": { "bool": false }, "trim": { "f32": -3.5 }, "guard": { "bool": false },
            "output": { "f32": 6.0 }, "load_r_1": { "f32": 33e3 }, "load_c_1": { "f32": 150.0 },
            "cable_1": { "f32": 3.0 }, "load_r_2": { "f32": 1e9 },
        },
        "fields": { "format": "1" },
    });
    let mut host = Host::new();
    assert!(host.load(&packed(&json.to_string())));
    for (name, text) in [
        ("Heard setup", "Setup 2"),
        ("Pickup capacitance", "1 nF"),
        ("Recorded through resistance", "10 MΩ"),
        ("Recorded through capacitance", "47 pF"),
        ("Undo ceiling", "off"),
        ("Undo floor", "off"),
        ("Level match", "off"),
        ("Hold match", "off"),
        ("Trim", "-3.5 dB"),
        ("Guard", "off"),
        ("Output", "6 dB"),
        ("Setup 1 load resistance", "33 kΩ"),
        ("Setup 1 load capacitance", "150 pF"),
        ("Setup 1 cable length", "3 m"),
        ("Setup 2 load resistance", "none"),
        // Missing: what format 1 meant, 1 MΩ in parallel with 470 kΩ.
        ("Setup 4 load resistance", "319.7 kΩ"),
    ] {
        assert_eq!(host.text(name), text, "{name}");
    }
}
