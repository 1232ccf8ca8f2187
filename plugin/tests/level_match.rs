//! The level match as it is heard, judged by `ebur128`, an independent implementation of ITU-R BS.1770.

mod host;

use ebur128::{EbuR128, Mode};
use host::{Change, Host, Noise, Sound, preset, turned_blend};

const RATE_HZ: f64 = 48_000.0;

/// Noise with the slope of music, about -3 dB an octave (Paul Kellet's economy filter, from memory), in bursts.
fn music(frames: usize) -> Sound {
    vec![track(frames, 21); 2]
}

#[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
fn track(frames: usize, seed: u64) -> Vec<f32> {
    let mut noise = Noise::new(seed);
    let mut b = [0.0f64; 3];
    (0..frames)
        .map(|i| {
            let white = noise.unit() - 0.5;
            b[0] = 0.997_65 * b[0] + white * 0.099_046;
            b[1] = 0.963_00 * b[1] + white * 0.296_516_4;
            b[2] = 0.570_00 * b[2] + white * 1.052_691_3;
            let swell = if i % 24_000 < 18_000 { 1.0 } else { 0.4 };
            (0.15 * swell * (b.iter().sum::<f64>() + white * 0.1848)) as f32
        })
        .collect()
}

/// Ungated loudness of a stretch, in LUFS.
fn loudness(sound: &[Vec<f32>], range: std::ops::Range<usize>) -> f64 {
    let mut meter = EbuR128::new(2, 48_000, Mode::I | Mode::M | Mode::S).unwrap();
    let parts: Vec<&[f32]> = sound.iter().map(|channel| &channel[range.clone()]).collect();
    meter.add_frames_planar_f32(&parts).unwrap();
    meter.loudness_window(u32::try_from(range.len() * 1000 / 48_000).unwrap()).unwrap()
}

#[test]
fn every_setup_is_as_loud_as_the_take() {
    let take = music(6 * 48_000);
    for number in 1..=6 {
        let mut host = Host::running(RATE_HZ, &[("Heard setup", &format!("Setup {number}"))]);
        let output = host.run(&take, 512);
        let range = 5 * 48_000..6 * 48_000;
        let off = loudness(&output, range.clone()) - loudness(&take, range);
        assert!(off.abs() < 0.3, "setup {number}: {off} LU");
    }
}

/// By how many LU a setup of a preset is off the take.
fn off_lu(preset: &str, setup: usize, take: &Sound, level_match: &str) -> f64 {
    let settings = [("Heard setup", &*format!("Setup {}", setup + 1)), ("Level match", level_match)];
    let output = Host::with_preset(RATE_HZ, preset, &settings).run(take, 512);
    let range = 5 * 48_000..6 * 48_000;
    loudness(&output, range.clone()) - loudness(take, range)
}

/// Also transformers, coils, and blends with another shape for each channel.
#[test]
fn every_kind_of_circuit_is_as_loud_as_the_take() {
    let mut take = music(6 * 48_000);
    // Another track on the right, half as loud.
    take[1] = track(6 * 48_000, 22).into_iter().map(|x| 0.5 * x).collect();
    for (name, setups) in
        [("passive", 6), ("blocking", 3), ("magnetic-single", 6), ("magnetic-double", 4), ("blend", 3)]
    {
        for setup in 0..setups {
            let off = off_lu(&preset(name), setup, &take, "on");
            assert!(off.abs() < 0.3, "{name}, setup {}: {off} LU", setup + 1);
        }
    }
}

/// Each channel counts by its own loudness and its own shape. With either pickup silent, the other one alone decides.
#[test]
fn a_silent_pickup_has_no_say() {
    let whole = music(6 * 48_000);
    let mut lost = Vec::new();
    for silent in 0..2 {
        let mut take = whole.clone();
        take[silent].fill(0.0);
        // The third takes more from the first pickup than the 40 dB that a matching gain may give back.
        for setup in 0..2 {
            let off = off_lu(&turned_blend(), setup, &take, "on");
            assert!(off.abs() < 0.3, "track {silent} silent, setup {}: {off} LU", setup + 1);
        }
        lost.push(off_lu(&turned_blend(), 2, &take, "off"));
    }
    // Or else the test would not tell.
    assert!((lost[0] - lost[1]).abs() > 1.0, "{lost:?}");
}

/// The gains of all six are known before they are chosen.
#[test]
fn a_switch_is_matched_as_soon_as_it_has_happened() {
    let take = music(8 * 48_000);
    let mut host = Host::running(RATE_HZ, &[]);
    let mut changes = Vec::new();
    for (index, number) in (0..6).enumerate() {
        let frame = (5 * 48_000) + index * 24_000;
        changes.push(Change::new(frame, "Heard setup", f64::from(number)));
    }
    let output = host.run_with(&take, std::iter::repeat(512), &changes);
    for (index, change) in changes.iter().enumerate() {
        let range = change.frame + 1_440..change.frame + 18_000;
        let off = loudness(&output, range.clone()) - loudness(&take, range);
        assert!(off.abs() < 0.5, "setup {}: {off} LU", index + 1);
    }
}

/// Switched on late, it knows the music that went by.
#[test]
fn a_match_that_is_switched_on_later_is_right_at_once() {
    let take = music(8 * 48_000);
    let settings = [("Heard setup", "Setup 1"), ("Level match", "off")];
    let mut host = Host::running(RATE_HZ, &settings);
    let change = Change::new(6 * 48_000, "Level match", 1.0);
    let output = host.run_with(&take, std::iter::repeat(512), &[change]);
    let before = 5 * 48_000..6 * 48_000;
    let lost = loudness(&output, before.clone()) - loudness(&take, before);
    assert!(lost < -3.0, "unmatched it should be quiet: {lost} LU");
    let after = 6 * 48_000 + 1_440..6 * 48_000 + 25_440;
    let off = loudness(&output, after.clone()) - loudness(&take, after);
    assert!(off.abs() < 0.4, "{off} LU");
}

/// In a rest the gain stays where it was.
#[test]
fn silence_does_not_move_the_match() {
    let take = music(5 * 48_000);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 1")]);
    host.run(&take, 512);
    host.run(&vec![vec![0.0; 10 * 48_000]; 2], 512);
    let output = host.run(&take, 512);
    let range = 12_000..36_000;
    let off = loudness(&output, range.clone()) - loudness(&take, range);
    assert!(off.abs() < 0.5, "{off} LU");
}
