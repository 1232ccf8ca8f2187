//! States of format 1: they are read, and sound, as they did.

mod host;

use host::{Change, Host, Noise, assert_same, packed};
use serde_json::{Value, json};

fn unpacked(state: &[u8]) -> Value {
    serde_json::from_slice(&state[8..]).unwrap()
}

/// What the state of format 1 in `fixtures` was heard with when it was recorded.
fn changes_of_format_1() -> Vec<Change<'static>> {
    const SETUPS: [[&str; 3]; 6] = [
        ["Setup 1 load resistance", "Setup 1 load capacitance", "Setup 1 cable length"],
        ["Setup 2 load resistance", "Setup 2 load capacitance", "Setup 2 cable length"],
        ["Setup 3 load resistance", "Setup 3 load capacitance", "Setup 3 cable length"],
        ["Setup 4 load resistance", "Setup 4 load capacitance", "Setup 4 cable length"],
        ["Setup 5 load resistance", "Setup 5 load capacitance", "Setup 5 cable length"],
        ["Setup 6 load resistance", "Setup 6 load capacitance", "Setup 6 cable length"],
    ];
    let mut changes = Vec::new();
    let mut noise = Noise::new(41);
    for (index, frame) in (0..42_000).step_by(6_000).enumerate() {
        changes.push(Change::new(frame + 17, "Heard setup", f64::from(u32::try_from(index).unwrap())));
        for name in ["Pickup capacitance", "Recorded through resistance", "Recorded through capacitance"] {
            changes.push(Change::new(frame + 2_500, name, noise.unit()));
        }
        for name in SETUPS[index % 6] {
            changes.push(Change::new(frame + 4_000, name, noise.unit()));
        }
    }
    changes
}

/// A project of version 1 sounds as it did, with all that it had being automated, to the bit, where nothing but the circuits decides.
/// With the level match it does not: its gains followed the last four seconds, and begin with the guess and rest since format 3.
///
/// The state and every 331st frame were saved by the last version that wrote format 1 (revision 372225f).
#[test]
fn a_state_of_format_1_sounds_as_it_did() {
    let state = packed(include_str!("fixtures/format-1.json"));
    let sound = Noise::new(40).sound(2, 48_000);
    let mut host = Host::new();
    assert!(host.load(&state));
    host.set("Level match", "off");
    host.start(48_000.0);
    let output = host.run_with(&sound, std::iter::repeat(512), &changes_of_format_1());
    let mut compared = 0;
    for (line, frame) in include_str!("fixtures/format-1.bits").lines().zip((0..48_000).step_by(331)) {
        for (channel, bits) in line.split(' ').enumerate() {
            let expected = u32::from_str_radix(bits, 16).unwrap();
            assert_eq!(output[channel][frame].to_bits(), expected, "channel {channel}, frame {frame}");
            compared += 1;
        }
    }
    assert_eq!(compared, 2 * 146);
}

/// Saved anew it is of format 3, without a circuit or anything learned, and sounds the same.
#[test]
fn a_state_of_format_1_stays_plain() {
    let mut host = Host::new();
    assert!(host.load(&packed(include_str!("fixtures/format-1.json"))));
    let saved = host.save();
    assert_eq!(
        unpacked(&saved)["fields"],
        json!({ "format": "3", "circuit": "\"\"", "music": r#"{"seconds":0.0,"tracks":[]}"# })
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
