//! What comes out, through CLAP, against formulas written out here and against the input itself.

mod host;

use std::f64::consts::TAU;

use clack_extensions::tail::TailLength;
use host::{Host, Noise, Sound, assert_same, difference, sine};

/// Level of `hz` in one second of sound, in dB re the same of `reference`: the Fourier sum over whole periods.
#[expect(clippy::cast_precision_loss, reason = "frame counts are small")]
fn level_db(sound: &[f32], reference: &[f32], hz: f64, rate_hz: f64) -> f64 {
    let power = |samples: &[f32]| {
        let (mut re, mut im) = (0.0, 0.0);
        for (i, sample) in samples.iter().enumerate() {
            let phase = TAU * hz * i as f64 / rate_hz;
            re += f64::from(*sample) * phase.cos();
            im += f64::from(*sample) * phase.sin();
        }
        re * re + im * im
    };
    10.0 * (power(sound) / power(reference)).log10()
}

/// Corner of a resistance on a capacitance (textbook RC): 1 / (2π R C).
fn corner_hz(ohms: f64, farads: f64) -> f64 {
    1.0 / (TAU * ohms * farads)
}

/// The gain of `host` at `hz` in the second second of a sine, in dB.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rate in Hz")]
fn steady_db(host: &mut Host, hz: f64, rate_hz: f64) -> f64 {
    let second = rate_hz as usize;
    let sound = sine(2, 2 * second, hz, rate_hz, 0.01);
    let output = host.run(&sound, 512);
    level_db(&output[0][second..], &sound[0][second..], hz, rate_hz)
}

/// From one high-pass of first order to another: K = k (s + wA) / (s + wB), so in power
/// k² (f² + fA²) / (f² + fB²), with k the ratio of the capacitances.
fn change_db(hz: f64, from_hz: f64, to_hz: f64, capacitances: f64) -> f64 {
    10.0 * ((hz * hz + from_hz * from_hz) / (hz * hz + to_hz * to_hz)).log10() + 20.0 * capacitances.log10()
}

const UNMATCHED: (&str, &str) = ("Level match", "off");

#[test]
fn a_setup_sounds_as_the_formula_says_at_every_rate() {
    let pickup = 680e-12;
    // (setup, ohms, farads of the cable): presets/courtyard.toml.
    let setups = [("Setup 1", 56e3, 0.0), ("Setup 2", 470e3, 0.0), ("Setup 5", 470e3, 600e-12)];
    for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        for (setup, ohms, farads) in setups {
            for hz in [55.0, 440.0, 8_000.0] {
                let mut host = Host::running(rate_hz, &[("Heard setup", setup), UNMATCHED]);
                let expected = change_db(
                    hz,
                    corner_hz(22e6, pickup),
                    corner_hz(ohms, pickup + farads),
                    pickup / (pickup + farads),
                );
                let measured = steady_db(&mut host, hz, rate_hz);
                assert!(
                    (measured - expected).abs() < 0.005,
                    "{setup}, {hz} Hz at {rate_hz} Hz: {measured} dB, formula {expected} dB"
                );
            }
        }
    }
}

/// 470 kΩ on 680 pF costs the low A 19.2 dB (textbook RC), of which 22 MΩ had already cost 0.16 dB.
#[test]
fn the_low_a_through_the_combo() {
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 2"), UNMATCHED]);
    let measured = steady_db(&mut host, 55.0, 48_000.0);
    assert!((measured - (-19.2 + 0.16)).abs() < 0.06, "{measured}");
}

#[test]
fn undo_gives_back_what_the_ceiling_allows() {
    // Recorded through 56 kΩ, heard through nothing: K = (s + wA) / (s + wA 10^(-24/20)).
    let settings = [
        ("Recorded through resistance", "56k"),
        ("Setup 1 load resistance", "none"),
        ("Heard setup", "Setup 1"),
        UNMATCHED,
    ];
    let from_hz = corner_hz(56e3, 680e-12);
    for (ceiling, db) in [("24 dB", 24.0), ("12 dB", 12.0)] {
        for hz in [55.0, 1_000.0] {
            let mut host = Host::running(48_000.0, &settings);
            host.set("Undo ceiling", ceiling);
            let expected = change_db(hz, from_hz, from_hz * 10f64.powf(-db / 20.0), 1.0);
            let measured = steady_db(&mut host, hz, 48_000.0);
            assert!(
                (measured - expected).abs() < 0.005,
                "{ceiling}, {hz} Hz: {measured}, formula {expected}"
            );
        }
    }
}

/// Loud, quiet, very quiet and signed zeros: all that a plain wire passes.
fn sound_of_all_sizes(channels: usize) -> Sound {
    let mut sound = Noise::new(4).sound(channels, 6_000);
    for channel in &mut sound {
        for (i, sample) in channel.iter_mut().enumerate() {
            match i % 7 {
                0 => *sample *= 1e-30,
                1 => *sample = -0.0,
                2 => *sample *= 40.0,
                _ => {}
            }
        }
        channel[100] = f32::from_bits(1);
    }
    sound
}

#[test]
fn as_recorded_is_transparent_to_the_bit() {
    let sound = sound_of_all_sizes(2);
    for level_match in ["on", "off"] {
        let mut host = Host::running(48_000.0, &[("Level match", level_match), ("Trim", "12 dB")]);
        assert_same(&host.run(&sound, 441), &sound, "not a plain wire");
    }
}

#[test]
fn bypass_is_transparent_to_the_bit_whatever_else_is_set() {
    let mut sound = sound_of_all_sizes(2);
    // Louder than the guard would stand.
    sound[1][200] = 1e4;
    let settings = [("Bypass", "on"), ("Heard setup", "Setup 1"), ("Output", "-12 dB"), ("Trim", "12 dB")];
    let mut host = Host::running(48_000.0, &settings);
    assert_same(&host.run(&sound, 441), &sound, "not a plain wire");
}

/// Switched on in the middle it leads there, and is transparent from then on.
#[test]
fn bypass_is_transparent_again_after_the_change() {
    let sound = Noise::new(8).sound(2, 9_600);
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 1")]);
    host.run(&sound, 480);
    host.set("Bypass", "on");
    let output = host.run(&sound, 480);
    let after = |sound: &Sound| sound.iter().map(|channel| channel[1_441..].to_vec()).collect::<Sound>();
    assert!(difference(&output, &sound).is_some());
    assert_same(&after(&output), &after(&sound), "after the change");
    host.set("Bypass", "off");
    let output = host.run(&sound, 480);
    assert!(difference(&after(&output), &after(&sound)).is_some());
}

#[test]
fn output_acts_on_all_and_trim_on_setups_only() {
    let gain_db =
        |settings: &[(&str, &str)]| steady_db(&mut Host::running(48_000.0, settings), 10_000.0, 48_000.0);
    let close =
        |measured: f64, expected: f64| assert!((measured - expected).abs() < 1e-3, "{measured} {expected}");
    close(gain_db(&[("Output", "-6 dB"), ("Trim", "9 dB")]), -6.0);
    let bare = gain_db(&[("Heard setup", "Setup 2"), UNMATCHED]);
    close(
        gain_db(&[("Heard setup", "Setup 2"), UNMATCHED, ("Trim", "9 dB"), ("Output", "-6 dB")]),
        bare + 3.0,
    );
}

#[test]
fn mono_sounds_as_one_of_two_equal_channels() {
    let mono = Noise::new(9).sound(1, 30_000);
    let stereo = vec![mono[0].clone(), mono[0].clone()];
    let mut one = Host::new();
    one.select_layout(1);
    one.set("Heard setup", "Setup 1");
    one.set(UNMATCHED.0, UNMATCHED.1);
    one.start(48_000.0);
    let mut two = Host::running(48_000.0, &[("Heard setup", "Setup 1"), UNMATCHED]);
    let (one, two) = (one.run(&mono, 512), two.run(&stereo, 512));
    assert_same(&one, &vec![two[0].clone()], "mono against left");
    assert_same(&one, &vec![two[1].clone()], "mono against right");
}

#[test]
fn channels_do_not_leak_into_each_other() {
    let mut sound = Noise::new(10).sound(2, 20_000);
    sound[1].fill(0.0);
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 2")]);
    let output = host.run(&sound, 512);
    assert!(output[1].iter().all(|sample| *sample == 0.0));
    assert!(output[0].iter().any(|sample| *sample != 0.0));
}

#[test]
fn a_host_may_change_the_rate() {
    let sound = Noise::new(12).sound(2, 20_000);
    let mut host = Host::running(44_100.0, &[("Heard setup", "Setup 2")]);
    host.run(&sound, 512);
    host.stop();
    host.start(192_000.0);
    let changed = host.run(&sound, 512);
    let mut fresh = Host::running(192_000.0, &[("Heard setup", "Setup 2")]);
    assert_same(&changed, &fresh.run(&sound, 512), "after a change of rate");
}

/// Validators activate at any rate and take a refusal for a failure.
#[test]
fn rates_beyond_reach_pass_sound_unchanged() {
    let sound = Noise::new(13).sound(2, 2_000);
    for rate_hz in [1_234.567_8, 7_999.0, 384_001.0, 768_000.0, 1_234_567.8] {
        let mut host = Host::running(rate_hz, &[("Heard setup", "Setup 1"), ("Output", "-12 dB")]);
        assert_same(&host.run(&sound, 512), &sound, &format!("at {rate_hz} Hz"));
    }
    for rate_hz in [8_000.0, 45_678.901, 384_000.0] {
        let mut host = Host::running(rate_hz, &[("Heard setup", "Setup 1")]);
        assert!(difference(&host.run(&sound, 512), &sound).is_some(), "{rate_hz}");
    }
}

#[test]
fn reset_and_reactivation_repeat_the_first_run_to_the_bit() {
    // Longer than the level match needs to learn, which is not forgotten: it is held.
    let sound = Noise::new(14).sound(2, 300_000);
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 4"), ("Hold match", "on")]);
    let first = host.run(&sound, 512);
    host.reset();
    assert_same(&host.run(&sound, 512), &first, "reset");
    host.stop();
    host.start(48_000.0);
    assert_same(&host.run(&sound, 512), &first, "reactivated");
}

#[test]
fn offline_rendering_gives_the_same_bits() {
    let sound = Noise::new(15).sound(2, 30_000);
    let settings = [("Heard setup", "Setup 1")];
    let live = Host::running(48_000.0, &settings).run(&sound, 64);
    let mut offline = Host::new();
    offline.set("Heard setup", "Setup 1");
    offline.set_offline(true);
    offline.start(48_000.0);
    assert_same(&offline.run(&sound, 8_192), &live, "offline");
}

#[test]
fn instances_do_not_know_of_each_other() {
    let sounds = [Noise::new(16).sound(2, 24_000), Noise::new(17).sound(2, 24_000)];
    let settings = [[("Heard setup", "Setup 1")], [("Heard setup", "Setup 6")]];
    let alone: Vec<_> = (0..2).map(|i| Host::running(48_000.0, &settings[i]).run(&sounds[i], 480)).collect();
    let mut hosts = settings.map(|settings| Host::running(48_000.0, &settings));
    let mut together: [Sound; 2] = [vec![Vec::new(); 2], vec![Vec::new(); 2]];
    for start in (0..24_000).step_by(480) {
        for (i, host) in hosts.iter_mut().enumerate() {
            let part = sounds[i].iter().map(|channel| channel[start..start + 480].to_vec()).collect();
            let output = host.run(&part, 480);
            together[i].iter_mut().zip(output).for_each(|(all, part)| all.extend(part));
        }
    }
    for (together, alone) in together.iter().zip(&alone) {
        assert_same(together, alone, "side by side");
    }
}

#[test]
fn latency_is_zero_in_words_and_in_sound() {
    let mut impulse = vec![vec![0.0; 4_096]; 2];
    impulse[0][100] = 1.0;
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 2"), UNMATCHED]);
    assert_eq!(host.latency(), 0);
    let output = host.run(&impulse, 512);
    assert!(output[0][..100].iter().all(|sample| *sample == 0.0));
    // The high-pass lets the edge through: nearly all of it in the first sample.
    assert!(output[0][100] > 0.9, "{}", output[0][100]);
}

#[test]
fn the_tail_is_as_long_as_the_pole_rings() {
    let sound = Noise::new(18).sound(2, 512);
    let tail = |settings: &[(&str, &str)]| {
        let mut host = Host::running(48_000.0, settings);
        host.run(&sound, 512);
        host.tail()
    };
    assert_eq!(tail(&[]), TailLength::Finite(0));
    assert_eq!(tail(&[("Bypass", "on"), ("Heard setup", "Setup 1")]), TailLength::Finite(0));
    // 120 dB of exp(-t / RC): 6 ln(10) RC seconds, RC = 470 kΩ · 680 pF.
    let expected = 6.0 * 10f64.ln() * 470e3 * 680e-12 * 48_000.0;
    let TailLength::Finite(frames) = tail(&[("Heard setup", "Setup 2")]) else { panic!("infinite") };
    assert!((f64::from(frames) - expected).abs() <= 1.0, "{frames} {expected}");
    let endless = [
        ("Recorded through resistance", "56k"),
        ("Setup 1 load resistance", "none"),
        ("Heard setup", "Setup 1"),
        ("Undo ceiling", "off"),
    ];
    assert_eq!(tail(&endless), TailLength::Infinite);
}

#[test]
fn silence_after_sound_becomes_exact_zero() {
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 2")]);
    host.run(&Noise::new(19).sound(2, 48_000), 512);
    let output = host.run(&vec![vec![0.0; 48_000]; 2], 512);
    assert!(output.iter().all(|channel| channel[24_000..].iter().all(|sample| *sample == 0.0)));
    assert!(output.iter().flatten().all(|sample| !sample.is_subnormal()));
}

#[test]
fn input_that_is_not_finite_does_no_lasting_harm() {
    for odd in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::MAX] {
        for (heard, guard) in
            [("Setup 2", "on"), ("Setup 2", "off"), ("As recorded", "on"), ("As recorded", "off")]
        {
            let sound = Noise::new(20).sound(2, 48_000);
            let mut bad = sound.clone();
            bad[0][1_000..1_100].fill(odd);
            bad[1][30] = odd;
            let mut host = Host::running(48_000.0, &[("Heard setup", heard), ("Guard", guard)]);
            let hurt = host.run(&bad, 512);
            assert!(hurt.iter().flatten().all(|sample| sample.is_finite()), "{odd} {heard} {guard}");
            let after = host.run(&sound, 512);
            let mut whole = Host::running(48_000.0, &[("Heard setup", heard), ("Guard", guard)]);
            whole.run(&sound, 512);
            let expected = whole.run(&sound, 512);
            let off = after[0].iter().zip(&expected[0]).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
            assert!(off < 0.02, "{odd} {heard} {guard}: {off}");
        }
    }
}

/// An undo without limits drives a low note up by 85 dB: the guard must step in, and must be what does.
#[test]
fn the_guard_silences_a_runaway() {
    let settings = [
        ("Recorded through resistance", "1k"),
        ("Setup 1 load resistance", "none"),
        ("Undo ceiling", "off"),
        ("Heard setup", "Setup 1"),
        UNMATCHED,
    ];
    let sound = sine(2, 48_000, 10.0, 48_000.0, 1.0);
    let peak = |guard| {
        let mut host = Host::running(48_000.0, &settings);
        host.set("Guard", guard);
        let output = host.run(&sound, 512);
        (output[0].iter().fold(0.0f32, |peak, x| peak.max(x.abs())), output[0][47_000])
    };
    let (guarded, last) = peak("on");
    assert!(guarded <= 31.63, "{guarded}");
    assert!(last.abs() <= 31.63);
    assert!(peak("off").0 > 100.0);
}
