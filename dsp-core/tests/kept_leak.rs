//! Where a pickup's leakage counts has changed what is told, and must not change what is heard: `K` of leaky pickups, to the bit, is
//! that of the version that took the leak for a part of the source. `fixtures/leaky.bits` was written by that version.

use crate::common::preset_text;
use dsp_core::circuit::{Chain, Pickups, Positions};
use dsp_core::preset::Preset;
use dsp_core::response::{Change, Transfer};

/// Within these the change's polynomials are all of their size at some place or other.
const HZ: [f64; 4] = [3.0, 55.0, 1_000.0, 15_000.0];

/// From what was recorded to each setup, and to the unloaded pickup, of each track.
fn changes(preset: &Preset) -> Vec<Change> {
    let transfer = |index: usize, chain: &Chain, at: Positions| {
        Transfer::of(&preset.pickups.with_positions(at), index, chain)
    };
    let none = (&Chain::default(), preset.recorded_at);
    let tos = || preset.setups.iter().map(|setup| (&setup.chain, setup.positions)).chain([none]);
    let of_track = |index: usize| {
        let alone = Pickups::One(*preset.pickups.with_positions(preset.recorded_at).pickup(index));
        let recorded = Transfer::new(&alone, &preset.recorded);
        tos().map(move |(chain, at)| Change::new(&recorded, &transfer(index, chain, at)))
    };
    (0..preset.pickups.count()).flat_map(of_track).collect()
}

/// The numbers of a text of bits.
fn bits(text: &str) -> impl Iterator<Item = f64> {
    let words = text.split_whitespace().filter(|word| word.len() == 16);
    words.map(|word| f64::from_bits(u64::from_str_radix(word, 16).unwrap()))
}

#[test]
fn leaky_pickups_sound_as_they_did() {
    let leaky = |name: &str, text: &str, capacitance: &str| {
        let with = text.replace(capacitance, &format!("{capacitance}, leakage = \"3M3\""));
        let with = if with.contains("[[blend]]") { with.replace(", leakage", "\nleakage") } else { with };
        assert_ne!(text, with, "{name}");
        with
    };
    let presets = [
        ("version 1", include_str!("fixtures/version_1.toml").to_owned()),
        ("version 2", include_str!("fixtures/version_2.toml").to_owned()),
        ("courtyard", leaky("courtyard", &preset_text("courtyard.toml"), "capacitance = \"680 pF\"")),
        (
            "passive",
            leaky("passive", include_str!("fixtures/passive_as_it_was.toml"), "capacitance = \"1 nF\""),
        ),
    ];
    let mut heard = String::new();
    for (name, text) in presets {
        for (number, change) in changes(&Preset::from_toml(&text).unwrap()).iter().enumerate() {
            for hz in HZ {
                let k = change.at(hz);
                heard += &format!("{name} {number} {hz}: {:016x} {:016x}\n", k.re.to_bits(), k.im.to_bits());
            }
        }
    }
    let kept = include_str!("fixtures/leaky.bits");
    // The last bits of a power are the C library's.
    if cfg!(target_os = "linux") {
        assert_eq!(heard, kept);
    }
    for (now, then) in bits(&heard).zip(bits(kept)) {
        assert!((now - then).abs() <= 1e-12 * then.abs(), "{now} {then}");
    }
    assert_eq!(heard.lines().count(), kept.lines().count());
}
