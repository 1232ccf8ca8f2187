//! The level match as it is heard, judged by `ebur128`, an independent implementation of ITU-R BS.1770.

mod host;

use ebur128::{EbuR128, Mode};
use host::{Change, Host, Noise, Sound};

const RATE_HZ: f64 = 48_000.0;

/// Noise with the slope of music, about -3 dB an octave (Paul Kellet's economy filter, from memory), in bursts.
#[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
fn music(frames: usize) -> Sound {
    let mut noise = Noise::new(21);
    let mut b = [0.0f64; 3];
    let channel: Vec<f32> = (0..frames)
        .map(|i| {
            let white = noise.unit() - 0.5;
            b[0] = 0.997_65 * b[0] + white * 0.099_046;
            b[1] = 0.963_00 * b[1] + white * 0.296_516_4;
            b[2] = 0.570_00 * b[2] + white * 1.052_691_3;
            let swell = if i % 24_000 < 18_000 { 1.0 } else { 0.4 };
            (0.15 * swell * (b.iter().sum::<f64>() + white * 0.1848)) as f32
        })
        .collect();
    vec![channel; 2]
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
