//! Circuits that are loaded, while sound runs and otherwise. With the allocation guard on, an allocation in the audio thread would
//! end the test.

mod host;

use host::{Host, Noise, Sound, assert_close, assert_same, bend, packed, preset, sine, turned_blend};

const RATE_HZ: f64 = 48_000.0;
const UNMATCHED: (&str, &str) = ("Level match", "off");
const PRESETS: [&str; 6] =
    ["courtyard", "passive", "blocking", "blend", "magnetic-single", "magnetic-double"];

/// The state of a fresh instance with this preset and this setup.
fn state(preset: &str, setup: &str) -> Vec<u8> {
    let mut host = Host::new();
    host.load_preset(preset);
    host.set("Heard setup", setup);
    host.set(UNMATCHED.0, UNMATCHED.1);
    host.save()
}

#[test]
fn of_many_states_before_a_block_the_last_one_is_heard() {
    let sound = Noise::new(34).sound(2, 4_096);
    let mut host = Host::running(RATE_HZ, &[]);
    for name in PRESETS {
        assert!(host.load(&state(&preset(name), "Setup 1")));
    }
    assert!(host.load(&state(&turned_blend(), "Setup 3")));
    let mut expected = Host::with_preset(RATE_HZ, &turned_blend(), &[("Heard setup", "Setup 3"), UNMATCHED]);
    assert_same(&host.run(&sound, 512), &expected.run(&sound, 512), "the last one");
    // While sound runs: on the way, and there in the end.
    for name in PRESETS {
        assert!(host.load(&state(&preset(name), "Setup 2")));
        host.run(&sound, 512);
        assert!(host.load(&state(&preset("magnetic-single"), "Setup 1")));
        assert!(host.load(&state(&turned_blend(), "Setup 3")));
        let silence = vec![vec![0.0; 48_000]; 2];
        host.run(&silence, 512);
        expected.run(&silence, 512);
        let (output, expected) = (host.run(&sound, 512), expected.run(&sound, 512));
        assert_close(&output[0], &expected[0], name);
        assert_close(&output[1], &expected[1], name);
    }
}

/// From one track to two and back, to and fro before one fade is over, in blocks of any size.
#[test]
fn loaded_states_do_not_click_and_do_not_depend_on_the_block_size() {
    let order = [
        (turned_blend(), "Setup 1"),
        (preset("passive"), "Setup 1"),
        (turned_blend(), "Setup 3"),
        (preset("magnetic-double"), "Setup 3"),
    ];
    let states = order.each_ref().map(|(preset, setup)| state(preset, setup));
    let run = |block: usize, pause_ms: usize| {
        let mut host = Host::running(RATE_HZ, &[UNMATCHED]);
        let mut all: Sound = vec![Vec::new(); 2];
        for step in 0..12 {
            assert!(host.load(&states[step % 4]));
            let part = sine(2, pause_ms * 48, 110.0, RATE_HZ, 0.25);
            let output = host.run(&part, block);
            all.iter_mut().zip(output).for_each(|(all, part)| all.extend(part));
        }
        all
    };
    // A fade takes 90 ms with what runs unheard before and after.
    for pause_ms in [10, 40, 100] {
        let whole = run(100_000, pause_ms);
        for block in [7, 64, 480] {
            assert_same(&run(block, pause_ms), &whole, &format!("{pause_ms} ms, blocks of {block}"));
        }
    }
    // 100 ms are eleven whole periods: the note goes on where it was.
    let (all, sound) = (run(480, 100), sine(2, 4_800, 110.0, RATE_HZ, 0.25));
    let mut steady = 0.0f64;
    for (preset, setup) in &order {
        let mut host = Host::with_preset(RATE_HZ, preset, &[("Heard setup", setup), UNMATCHED]);
        (0..10).for_each(|_| drop(host.run(&sound, 480)));
        let output = host.run(&sound, 480);
        steady = output.iter().map(|channel| bend(channel)).fold(steady, f64::max);
    }
    for channel in &all {
        // From the second state on: before the first frame, the first took effect at once.
        let bend = bend(&channel[4_800..]);
        assert!(bend < 2.0 * steady, "{bend:e} against {steady:e} at rest");
    }
}

/// As hosts do it: one thread for sound, one for everything else. Debug builds end at an allocation in `process`.
#[test]
fn states_are_loaded_beside_the_audio_thread() {
    let sound = Noise::new(35).sound(2, 960);
    let states = PRESETS.map(preset).into_iter().chain([turned_blend()]).map(|text| state(&text, "Setup 2"));
    let states: Vec<_> = states.collect();
    let mut host = Host::running(RATE_HZ, &[]);
    let output = host.run_beside(&sound, 96, |host| {
        for round in 0..300 {
            assert!(host.load(&states[round % states.len()]));
            if round % 7 == 0 {
                host.save();
            }
        }
        assert!(host.load(&states[6]));
    });
    assert!(output.iter().flatten().all(|sample| sample.is_finite()));
    // What is heard in the end is the last one.
    host.reset();
    let settings = [("Heard setup", "Setup 2"), UNMATCHED];
    let mut expected = Host::with_preset(RATE_HZ, &turned_blend(), &settings);
    assert_same(&host.run(&sound, 96), &expected.run(&sound, 96), "in the end");
}

#[test]
fn a_circuit_outlives_deactivation_and_rates_beyond_reach() {
    let sound = Noise::new(36).sound(2, 4_096);
    let settings = [("Heard setup", "Setup 1"), UNMATCHED];
    let expected = Host::with_preset(RATE_HZ, &preset("passive"), &settings).run(&sound, 512);
    let mut host = Host::with_preset(44_100.0, &preset("passive"), &settings);
    host.run(&sound, 512);
    host.stop();
    host.start(1_000_000.0);
    assert_same(&host.run(&sound, 512), &sound, "at a rate beyond reach");
    host.stop();
    host.start(RATE_HZ);
    assert_same(&host.run(&sound, 512), &expected, "activated again");
    host.reset();
    assert_same(&host.run(&sound, 512), &expected, "reset");
}

/// The text of a preset goes through a state as it is, whatever is in it.
#[test]
fn a_preset_goes_through_a_state_as_it_is() {
    for name in PRESETS {
        let mut host = Host::new();
        host.load_preset(&preset(name));
        let state: serde_json::Value = serde_json::from_slice(&host.save()[8..]).unwrap();
        let text: String = serde_json::from_str(state["fields"]["circuit"].as_str().unwrap()).unwrap();
        assert_eq!(text, preset(name));
        let mut again = Host::new();
        assert!(again.load(&packed(&state.to_string())));
        assert_eq!(again.save(), host.save());
    }
}
