//! The level match as it is heard, judged by `ebur128`, an independent implementation of ITU-R BS.1770.

mod host;
#[path = "../../xtask/src/take/mod.rs"]
#[allow(dead_code, reason = "the demo's sound alone is used")]
mod take;

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

/// The demo's take, in stereo, `db` louder.
#[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
fn demo_take(db: f64) -> Sound {
    let take = take::guitarron_take(RATE_HZ);
    let noise = take::noise_floor(RATE_HZ, take.len(), 1e-4, 1);
    let gain = 10f64.powf(db / 20.0);
    vec![take.iter().zip(noise).map(|(sample, noise)| (gain * (sample + noise)) as f32).collect(); 2]
}

/// Loudness of all of it, with the standard's gates, in LUFS.
fn integrated(sound: &[Vec<f32>]) -> f64 {
    let mut meter = EbuR128::new(2, 48_000, Mode::I).unwrap();
    let parts: Vec<&[f32]> = sound.iter().map(Vec::as_slice).collect();
    meter.add_frames_planar_f32(&parts).unwrap();
    meter.loudness_global().unwrap()
}

/// Offline, from a state.
fn export(state: &[u8], take: &Sound, settings: &[(&str, &str)]) -> Sound {
    let mut host = Host::new();
    assert!(host.load(state));
    settings.iter().for_each(|(name, text)| host.set(name, text));
    host.set_offline(true);
    host.start(RATE_HZ);
    host.run(take, 512)
}

/// Gain in dB between two sounds, by regression over each quarter of a second that has any.
fn gains_db(to: &Sound, from: &Sound) -> Vec<f64> {
    let pairs = from[0].chunks(12_000).zip(to[0].chunks(12_000));
    let sums = pairs.map(|(from, to)| {
        from.iter().zip(to).fold((0.0, 0.0), |(x, y), (from, to)| {
            let (from, to) = (f64::from(*from), f64::from(*to));
            (x + from * from, y + from * to)
        })
    });
    sums.filter(|(from, _)| *from > 1e-9).map(|(from, both)| 20.0 * (both / from).log10()).collect()
}

/// The state after one hearing of `take` with a setup.
fn heard(take: &Sound, setup: &str) -> Vec<u8> {
    let mut host = Host::running(RATE_HZ, &[("Heard setup", setup)]);
    host.run(take, 512);
    host.save()
}

/// Of the take as it is, and so quietly that an engineer would ask for more: after one hearing an export has one gain from the first
/// sample on, that of the gated loudness of the whole, as `firstjack render` matches, and the next export is the same to the bit.
#[test]
fn an_export_is_matched_as_a_whole() {
    for db in [0.0, -23.0] {
        let take = demo_take(db);
        let state = heard(&take, "Setup 2");
        for setup in (1..=6).map(|number| format!("Setup {number}")) {
            let settings = [("Heard setup", setup.as_str())];
            let matched = export(&state, &take, &settings);
            assert_eq!(export(&state, &take, &settings), matched);
            let plain = export(&state, &take, &[settings[0], ("Level match", "off")]);
            let gains = gains_db(&matched, &plain);
            let wanted_db = integrated(&take) - integrated(&plain);
            println!("{db} dB, {setup}: {:.3} dB, wanted {wanted_db:.3} dB", gains[0]);
            assert!(gains.len() > 70);
            for gain_db in &gains {
                assert!((gain_db - gains[0]).abs() < 1e-3, "{setup}: {gain_db} after {}", gains[0]);
                assert!((gain_db - wanted_db).abs() < 0.3, "{setup}: {gain_db}, wanted {wanted_db}");
            }
        }
    }
}

/// What a project sounds like is saved with it: opened again, live and offline, it begins as it went on.
#[test]
fn opening_a_project_changes_no_sound() {
    let take = demo_take(0.0);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]);
    host.run(&take, 512);
    let state = host.save();
    host.reset();
    let short: Sound = take.iter().map(|channel| channel[..96_000].to_vec()).collect();
    let on = host.run(&short, 512);
    assert_eq!(host.save(), state, "the same music again says nothing new");
    let mut opened = Host::new();
    assert!(opened.load(&state));
    assert_eq!(opened.save(), state);
    opened.start(RATE_HZ);
    assert_eq!(opened.run(&short, 512), on);
    assert_eq!(export(&state, &short, &[]), on);
    // Loaded into one that runs, over what that has learned.
    let mut running = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]);
    running.run(&music(4 * 48_000), 512);
    assert!(running.load(&state));
    assert_eq!(running.save(), state);
    running.reset();
    assert_eq!(running.run(&short, 512), on);
    assert_eq!(running.save(), state);
}

/// Another rate and the end of a run forget nothing.
#[test]
fn a_new_run_knows_what_the_last_one_learned() {
    let take = demo_take(0.0);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]);
    host.run(&take, 512);
    let state = host.save();
    host.stop();
    host.start(96_000.0);
    assert_eq!(host.save(), state);
    host.run(&vec![vec![0.0; 9_600]; 2], 512);
    assert_eq!(host.save(), state);
}

fn learned(state: &[u8]) -> String {
    let state: serde_json::Value = serde_json::from_slice(&state[8..]).unwrap();
    state["fields"]["music"].as_str().unwrap().to_owned()
}

/// A burst, a rest with hiss, the same music: nothing new. A high tune for long: other music.
#[test]
fn gains_move_only_for_what_is_new() {
    let take = demo_take(0.0);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]);
    host.run(&take, 512);
    let known = learned(&host.save());
    let noise = |seconds: f64, gain: f32| -> Sound {
        let frames = (0..).find(|frame| f64::from(*frame) >= seconds * RATE_HZ).unwrap();
        let mut noise = Noise::new(5).sound(2, usize::try_from(frames).unwrap());
        noise.iter_mut().flatten().for_each(|sample| *sample *= gain);
        noise
    };
    for (what, sound) in [
        ("burst", noise(0.2, 0.3)),
        ("hiss", noise(30.0, 0.002)),
        ("again", demo_take(0.0)),
        ("silence", noise(5.0, 0.0)),
        ("again", demo_take(0.0)),
    ] {
        host.run(&sound, 512);
        assert_eq!(learned(&host.save()), known, "{what}");
    }
    host.run(&noise(3.0, 0.1), 512);
    assert_eq!(learned(&host.save()), known, "three seconds are not enough");
    host.run(&noise(12.0, 0.1), 512);
    assert_ne!(learned(&host.save()), known);
    let sound = noise(2.0, 0.1);
    let off = loudness(&host.run(&sound, 512), 0..96_000) - loudness(&sound, 0..96_000);
    assert!(off.abs() < 0.5, "{off} LU");
}

/// Neither held nor offline is anything learned; let go, it is.
#[test]
fn what_is_held_rests() {
    let take = demo_take(0.0);
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 2"), ("Hold match", "on")]);
    let guess = learned(&host.save());
    let plain = host_output(&take, &[("Level match", "off")]);
    let gains = gains_db(&host.run(&take, 512), &plain);
    assert!(gains.iter().all(|db| (db - gains[0]).abs() < 1e-3 && *db > 8.0), "{gains:?}");
    assert_eq!(learned(&host.save()), guess);
    let unheard = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]).save();
    assert_eq!(export(&unheard, &take, &[]), host_output(&take, &[("Hold match", "on")]));
    host.set("Hold match", "off");
    host.run(&take, 512);
    assert_ne!(learned(&host.save()), guess);
}

/// Of a new instance with the second setup.
fn host_output(take: &Sound, settings: &[(&str, &str)]) -> Sound {
    let mut host = Host::running(RATE_HZ, &[("Heard setup", "Setup 2")]);
    settings.iter().for_each(|(name, text)| host.set(name, text));
    host.reset();
    host.run(take, 512)
}

/// A setup that changes, also in an export, has the gain of what it is now.
#[test]
fn a_setup_that_changes_has_its_gain_at_once() {
    let take = demo_take(0.0);
    let state = heard(&take, "Setup 2");
    let changed = [("Setup 2 load resistance", "56 kΩ")];
    let first = export(&state, &take, &[("Heard setup", "Setup 1")]);
    assert_eq!(export(&state, &take, &changed), first);
}
