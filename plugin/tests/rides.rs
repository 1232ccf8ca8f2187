//! No ride is louder than its ends, with the level match learning and following beside it: the plugin's whole signal path, asked for
//! anything in any order, against the same path that was asked for each of these things alone from the start.
//!
//! Searched. The bound by peaks is that of the louder sound within 10 ms; a matching gain that moves counts as it is anywhere within its own ramp.

#[path = "../../tests/rust/searched.rs"]
mod searched;
#[path = "../../xtask/src/take/mod.rs"]
#[allow(dead_code, unused_imports, reason = "the demo's sound alone is used")]
mod take;

use std::sync::Arc;

use dsp_core::preset::Preset;
use dsp_core::response::{Ceiling, Floor};
use firstjack_plugin::editor::Document;
use firstjack_plugin::live;
use firstjack_plugin::telemetry::Telemetry;
use proptest::prelude::*;

const RATE_HZ: f64 = 48_000.0;
const SECONDS: usize = 8;
const FRAMES: usize = 48_000 * SECONDS;
/// 10 ms.
const HOP: usize = 480;

/// The bars of the issue in dB: an undo has a slow pole.
const BAR_DB: f64 = 1.0;
const BAR_UNDONE_DB: f64 = 2.0;

/// A sound counts for so long after it has been left, in hops: a change that waits for another one.
const LEFT_HOPS: usize = 20;
/// The longest ramp of a matching gain, in hops.
const FOLLOW_HOPS: usize = 110;

/// Shipped presets whose one pickup plays all channels, and a take that is restored.
const PRESETS: [&str; 5] = ["courtyard.toml", "passive.toml", "blocking.toml", "loads.toml", RESTORED];
const RESTORED: &str = "restored";

fn preset(file: &str) -> Preset {
    if file == RESTORED {
        return Preset::from_toml(
            "version = 5\nname = 'restored'\npickup = '680p'\nrecorded = '470k'\n[[setup]]\nname = 'bare'\nload = 'none'\n\
             [[setup]]\nname = 'tuner'\nload = '1M'\n[[setup]]\nname = 'passive'\nload = '56k'\n",
        )
        .unwrap();
    }
    let path = format!("{}/../presets/{file}", env!("CARGO_MANIFEST_DIR"));
    Preset::from_toml(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// The demo's take from anywhere on, as quiet or loud as asked for.
fn music(kind: u8, level: f32) -> Vec<f32> {
    let take = take::guitarron_take(RATE_HZ);
    let skip = usize::from(kind) * 7_919 % take.len();
    #[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
    take.iter().cycle().skip(skip).take(FRAMES).map(|value| level * *value as f32).collect()
}

fn played(documents: &[(usize, Document)], sizes: &[usize], music: &[f32]) -> Vec<f32> {
    let telemetry = Arc::new(Telemetry::default());
    let (desk, mut engine) = live(RATE_HZ, 1, &documents[0].1, &telemetry).unwrap();
    let mut sound = music.to_vec();
    let mut sizes = sizes.iter().copied().cycle();
    let (mut start, mut next) = (0, 1);
    while start < FRAMES {
        while next < documents.len() && documents[next].0 <= start {
            desk.set(&documents[next].1).unwrap();
            next += 1;
        }
        let limit = documents.get(next).map_or(FRAMES, |(frame, _)| *frame);
        let end = (start + sizes.next().unwrap()).min(limit).min(FRAMES);
        engine.process(&mut [&mut sound[start..end]]);
        start = end;
    }
    sound
}

/// Of each hop.
fn peaks(sound: &[f32]) -> Vec<f64> {
    sound.chunks(HOP).map(|part| part.iter().fold(0.0_f64, |peak, v| peak.max(f64::from(v.abs())))).collect()
}

fn widest(values: &[f64], hops: usize) -> Vec<f64> {
    (0..values.len())
        .map(|at| {
            values[at.saturating_sub(hops)..(at + hops + 1).min(values.len())]
                .iter()
                .copied()
                .fold(0.0, f64::max)
        })
        .collect()
}

/// The most that a document sounds like by itself around each hop, whatever its matching gain is on the way to. A gain that is held is one that it had
/// come to at any moment before.
fn alone(document: &Document, music: &[f32]) -> Vec<f64> {
    let by_itself = alone_within(document, music, FOLLOW_HOPS);
    if !document.hold {
        return by_itself;
    }
    let held = alone_within(&Document { hold: false, ..document.clone() }, music, FRAMES / HOP);
    by_itself.into_iter().zip(held).map(|(a, b)| a.max(b)).collect()
}

/// The same, its matching gain on the way for so many hops.
fn alone_within(document: &Document, music: &[f32], hops: usize) -> Vec<f64> {
    let unmatched =
        peaks(&played(&[(0, Document { level_match: false, ..document.clone() })], &[512], music));
    let matched = peaks(&played(&[(0, document.clone())], &[512], music));
    // The matching gain, where there is anything to tell it from.
    let gains: Vec<f64> =
        matched.iter().zip(&unmatched).map(|(on, off)| if *off > 1e-5 { on / off } else { 0.0 }).collect();
    let by_gain = widest(&unmatched, 1).into_iter().zip(widest(&gains, hops)).map(|(peak, gain)| peak * gain);
    by_gain.zip(widest(&matched, 1)).map(|(a, b)| a.max(b)).collect()
}

/// How far a ride is above the loudest of what it was asked for, in dB.
fn rise_db(ride: &[f32], documents: &[(usize, Document)], music: &[f32]) -> f64 {
    let mut known: Vec<(&Document, Vec<f64>)> = Vec::new();
    for (_, document) in documents {
        if !known.iter().any(|(other, _)| *other == document) {
            known.push((document, alone(document, music)));
        }
    }
    let until =
        |index: usize| documents.get(index + 1).map_or(usize::MAX, |(frame, _)| frame / HOP + LEFT_HOPS);
    let allowed = |hop: usize| {
        let counts = documents
            .iter()
            .enumerate()
            .filter(|(index, (from, _))| (from / HOP..until(*index)).contains(&hop));
        counts
            .map(|(_, (_, document))| known.iter().find(|(other, _)| *other == document).unwrap().1[hop])
            .fold(0.0, f64::max)
    };
    let rises = peaks(ride).into_iter().enumerate().map(|(hop, peak)| peak / (allowed(hop) + 1e-4));
    20.0 * rises.fold(0.0, f64::max).log10()
}

/// What is turned at one moment.
#[derive(Debug, Clone, Copy)]
enum Turn {
    Hear(Option<usize>),
    Trim(f64),
    Output(f64),
    Match(bool),
    Hold(bool),
    Bypass(bool),
    Ceiling(f64),
    Floor(Option<f64>),
    Load(usize),
}

fn turn() -> impl Strategy<Value = Turn> {
    prop_oneof![
        6 => prop::option::of(0..6_usize).prop_map(Turn::Hear),
        1 => (-20.0..6.0_f64).prop_map(Turn::Trim),
        1 => (-20.0..6.0_f64).prop_map(Turn::Output),
        1 => any::<bool>().prop_map(Turn::Match),
        1 => any::<bool>().prop_map(Turn::Hold),
        1 => any::<bool>().prop_map(Turn::Bypass),
        1 => (6.0..30.0_f64).prop_map(Turn::Ceiling),
        2 => prop::option::of(1.0..200.0_f64).prop_map(Turn::Floor),
        1 => (0..PRESETS.len()).prop_map(Turn::Load),
    ]
}

fn turned(document: &Document, turn: Turn) -> Document {
    let mut document = document.clone();
    match turn {
        Turn::Hear(setup) => document.heard = setup,
        Turn::Trim(db) => document.trim_db = db,
        Turn::Output(db) => document.output_db = db,
        Turn::Match(on) => document.level_match = on,
        Turn::Hold(on) => document.hold = on,
        Turn::Bypass(on) => document.bypass = on,
        Turn::Ceiling(db) => document.ceiling = Ceiling::Db(db),
        Turn::Floor(hz) => document.floor = hz.map(|hz| Floor { hz }),
        Turn::Load(index) => document.preset = preset(PRESETS[index]),
    }
    let setups = document.preset.setups.len();
    document.heard = document.heard.map(|setup| setup % setups);
    document
}

fn begin(heard: Option<usize>) -> Document {
    Document {
        preset: preset(PRESETS[0]),
        heard,
        bypass: false,
        ceiling: Ceiling::default(),
        floor: None,
        level_match: true,
        hold: false,
        guard: true,
        trim_db: 0.0,
        output_db: 0.0,
    }
}

fn undoes(document: &Document) -> bool {
    document.heard.is_some_and(|setup| document.preset.setups[setup].chain.is_empty())
}

fn cases() -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        max_shrink_iters: 40,
        ..ProptestConfig::with_cases(searched::cases(12))
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn no_ride_of_the_plugin_is_louder_than_its_ends(
        first in prop::option::of(0..6_usize),
        turns in prop::collection::vec((turn(), -3.0..0.3_f64), 1..40),
        sizes in prop::collection::vec(1..4_096_usize, 1..6),
        kind in any::<u8>(),
        level in prop::sample::select(vec![1.0_f32, 0.1, 0.01]),
    ) {
        let mut documents = vec![(0, begin(first))];
        for (turn, log_seconds) in turns {
            let (frame, document) = documents.last().unwrap();
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some frames")]
            let pause = (10f64.powf(log_seconds) * RATE_HZ) as usize;
            let next = (frame + pause.max(1), turned(document, turn));
            documents.push(next);
        }
        let music = music(kind, level);
        let ride = played(&documents, &sizes, &music);
        let bar_db = if documents.iter().any(|(_, document)| undoes(document)) { BAR_UNDONE_DB } else { BAR_DB };
        let rise_db = rise_db(&ride, &documents, &music);
        prop_assert!(rise_db <= bar_db, "{rise_db} dB");
    }
}

/// Found by the search: held after the match has learned, which it has not where it is held from the start.
#[test]
fn held_where_it_had_come_to() {
    let mut documents = vec![(0, begin(None))];
    let turns = [
        (Turn::Hear(Some(0)), 1.08),
        (Turn::Output(3.43), 0.59),
        (Turn::Hold(true), 2.06),
        (Turn::Trim(1.04), 1.39),
    ];
    for (turn, seconds) in turns {
        let (frame, document) = documents.last().unwrap();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some frames")]
        documents.push((frame + (seconds * RATE_HZ) as usize, turned(document, turn)));
    }
    let music = music(184, 0.01);
    let rise_db = rise_db(&played(&documents, &[3_706, 3_160, 1_147], &music), &documents, &music);
    assert!(rise_db <= BAR_DB, "{rise_db} dB");
}

/// A floor that is turned, switched and automated under a take that is restored, in any order: searched by itself, since few of the rides above come to it.
fn floors() -> impl Strategy<Value = Turn> {
    prop_oneof![
        8 => prop::option::of(1.0..200.0_f64).prop_map(Turn::Floor),
        2 => prop::option::of(0..3_usize).prop_map(Turn::Hear),
        1 => (6.0..30.0_f64).prop_map(Turn::Ceiling),
        1 => any::<bool>().prop_map(Turn::Match),
    ]
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn no_ride_of_a_floor_is_louder_than_its_ends(
        turns in prop::collection::vec((floors(), -4.0..0.3_f64), 1..60),
        sizes in prop::collection::vec(1..4_096_usize, 1..6),
        kind in any::<u8>(),
        level in prop::sample::select(vec![0.3_f32, 0.01]),
    ) {
        let mut documents = vec![(0, Document { preset: preset(RESTORED), ..begin(Some(0)) })];
        for (turn, log_seconds) in turns {
            let (frame, document) = documents.last().unwrap();
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some frames")]
            let pause = (10f64.powf(log_seconds) * RATE_HZ) as usize;
            let next = (frame + pause.max(1), turned(document, turn));
            documents.push(next);
        }
        let music = music(kind, level);
        let rise_db = rise_db(&played(&documents, &sizes, &music), &documents, &music);
        prop_assert!(rise_db <= BAR_UNDONE_DB, "{rise_db} dB");
    }
}

/// As it was seen in hosts: the courtyard's setups, switched at random 50 ms to 1.2 s apart with the level match on.
#[test]
fn the_courtyard_switched_at_random() {
    let music = music(3, 1.0);
    let mut state = 7_u32;
    let mut random = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        usize::try_from(state >> 16).unwrap()
    };
    for _ in 0..6 {
        let mut documents = vec![(0, begin(Some(0)))];
        while let Some(frame) =
            documents.last().map(|(frame, _)| frame + 2_400 + random() % 55_200).filter(|at| *at < FRAMES)
        {
            documents.push((frame, begin(Some(random() % 7).filter(|setup| *setup < 6))));
        }
        let rise_db = rise_db(&played(&documents, &[512], &music), &documents, &music);
        assert!(rise_db <= BAR_DB, "{rise_db} dB");
    }
}
