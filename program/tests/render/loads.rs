//! What a load does to a tone, by the formula.

use super::{PICKUP_FARADS, RENDER, rendered};
use crate::support::{Sandbox, float_take, level_db, rc_corner_hz, rc_loss_db, sine};

/// The bound on the filter that the issue sets, up to the lower of 20 kHz and 0.907 of Nyquist.
pub const BOUND_DB: f64 = 0.004;

/// Level of a tone in the second of two seconds, when all has settled, against the take's.
fn change_db(rate_hz: u32, hz: f64, rest: &[&str]) -> f64 {
    let take = float_take(rate_hz, &sine(rate_hz, hz, 0.2, 2 * rate_hz));
    let out = rendered(&take, &[rest, &["--no-match"]].concat()).samples();
    let second = |samples: &[f64]| level_db(&samples[samples.len() / 2..], rate_hz, hz);
    second(&out) - second(&take.samples())
}

#[track_caller]
fn assert_change_db(rate_hz: u32, hz: f64, rest: &[&str], expected_db: f64) {
    let db = change_db(rate_hz, hz, rest);
    assert!(
        (db - expected_db).abs() <= BOUND_DB,
        "{hz} Hz at {rate_hz} Hz, {rest:?}: {db} not {expected_db}"
    );
}

fn loss_db(ohms: f64, hz: f64) -> f64 {
    rc_loss_db(rc_corner_hz(ohms, PICKUP_FARADS), hz)
}

#[test]
fn applying_a_load_at_every_rate() {
    let rest = ["--through", "22M", "--load", "470k"];
    for rate_hz in [8_000, 11_025, 44_100, 48_000, 96_000, 192_000, 384_000] {
        for hz in [55.0, 440.0, 3500.0] {
            assert_change_db(rate_hz, hz, &rest, loss_db(22e6, hz) - loss_db(470e3, hz));
        }
    }
    for hz in [10_000.0, 20_000.0] {
        assert_change_db(44_100, hz, &rest, loss_db(22e6, hz) - loss_db(470e3, hz));
    }
}

#[test]
fn an_unloaded_take() {
    for hz in [55.0, 1000.0, 15_000.0] {
        assert_change_db(48_000, hz, &["--through", "none", "--load", "56k"], -loss_db(56e3, hz));
    }
}

/// Cable behind the pickup: a divider of two capacitances on top of the corner.
#[test]
fn capacitance_across_the_load() {
    let total = PICKUP_FARADS + 1e-9;
    for hz in [55.0, 1000.0, 15_000.0] {
        let loss = rc_loss_db(rc_corner_hz(1e6, total), hz) + 20.0 * (total / PICKUP_FARADS).log10();
        assert_change_db(48_000, hz, &["--through", "none", "--load", "1M || 10 m"], -loss);
    }
}

/// `K = (s + wA)/(s + wc)`, `wc = wA·10^(-ceiling/20)`: the loss given back, less what the ceiling keeps.
#[test]
fn undoing_up_to_its_ceiling() {
    let corner_hz = rc_corner_hz(56e3, PICKUP_FARADS);
    for (option, ceiling_db) in [("24", 24.0), ("12 dB", 12.0), ("40", 40.0)] {
        for hz in [55.0, 440.0, 5000.0] {
            let kept_db = rc_loss_db(corner_hz * 10f64.powf(-ceiling_db / 20.0), hz);
            let rest = ["--through", "56k", "--load", "none", "--undo-ceiling", option];
            assert_change_db(48_000, hz, &rest, loss_db(56e3, hz) - kept_db);
        }
    }
    let default = change_db(48_000, 55.0, &["--through", "56k", "--load", "none"]);
    assert!(
        (default - (loss_db(56e3, 55.0) - rc_loss_db(corner_hz * 10f64.powf(-1.2), 55.0))).abs() <= BOUND_DB
    );
    for hz in [55.0, 440.0, 5000.0] {
        let rest = ["--through", "56k", "--load", "none", "--undo-ceiling", "OFF"];
        assert_change_db(48_000, hz, &rest, loss_db(56e3, hz));
    }
}

/// What the undo's report says is left at each string, by the same formula.
#[test]
fn undoing_says_what_is_left() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.1, 24_000)).bytes());
    let undo = ["--through", "56k", "--load", "none", "--undo-ceiling", "18"];
    let report = sandbox.json(&[RENDER.as_slice(), &undo].concat());
    let undone = &report["renderings"][0]["undo"];
    assert_eq!(undone["ceiling_db"], 18.0);
    let corner_hz = rc_corner_hz(56e3, PICKUP_FARADS) * 10f64.powf(-18.0 / 20.0);
    // E1 A1 D2 G2 in semitones from A4 (ISO 16).
    for (index, semitones) in [-41.0, -36.0, -31.0, -26.0_f64].into_iter().enumerate() {
        let expected = rc_loss_db(corner_hz, 440.0 * (semitones / 12.0).exp2());
        let left = undone["left"][index][1].as_f64().unwrap();
        assert!((left - expected).abs() < 1e-9, "{left} not {expected}");
    }
    let text = sandbox.done(&[RENDER.as_slice(), &undo, &["--overwrite"]].concat());
    // 20 log10(4179/41.2) = 40.1 dB lost, 22.2 dB left.
    assert!(text.starts_with("low E gets back 18 dB of 40 dB\n"), "{text}");
    assert!(text.contains("E1 22.2, A1 19.7") && text.contains("can hurt hearing"), "{text}");
}

/// 680 pF into 470 kΩ loses 19.2 dB at A1, 55 Hz (physics: textbook RC), not what it loses at the double bass's E1.
#[test]
fn the_verdict_is_about_the_instrument_that_was_named() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.1, 24_000)).bytes());
    let named = ["--through", "22M", "--load", "470k", "--instrument", "guitarron"];
    let report = sandbox.json(&[RENDER.as_slice(), &named].concat());
    assert_eq!(report["renderings"][0]["verdict"], "low A loses 19 dB into 470 kΩ");
}

/// A step through a high-pass decays as `exp(-t/RC)` (textbook RC).
#[test]
fn direct_current_decays_with_the_time_constant() {
    let rest = ["--through", "none", "--load", "22M", "--no-match"];
    let out = rendered(&float_take(48_000, &vec![0.5; 48_000]), &rest).samples();
    let seconds = 22e6 * PICKUP_FARADS;
    for (from, to) in [(100, 1000), (1000, 4000)] {
        let expected = -f64::from(to - from) / 48_000.0 / seconds;
        let at = |frame: i32| out[usize::try_from(frame).unwrap()];
        let decay = (at(to) / at(from)).ln();
        assert!((decay / expected - 1.0).abs() < 1e-4, "{decay} not {expected}");
    }
    assert!(out[47_999].abs() < 1e-9);
}

/// From 47 kΩ to 1 MΩ the pole lies at `wA·10^(-24/20)` and not at 1 MΩ's corner, unless asked; the report tells what that costs, and the noise.
#[test]
fn a_change_between_two_loads_has_a_ceiling() {
    let loads = ["--through", "47k", "--load", "1M"];
    let bounded = |hz: f64| rc_loss_db(rc_corner_hz(47e3, PICKUP_FARADS) * 10f64.powf(-1.2), hz);
    for hz in [20.0, 41.0, 440.0] {
        assert_change_db(48_000, hz, &loads, loss_db(47e3, hz) - bounded(hz));
        let off = [loads.as_slice(), &["--undo-ceiling", "off"]].concat();
        assert_change_db(48_000, hz, &off, loss_db(47e3, hz) - loss_db(1e6, hz));
    }
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.1, 24_000)).bytes());
    let report = sandbox.json(&[RENDER.as_slice(), &loads].concat());
    let rendering = &report["renderings"][0];
    assert!(rendering["undo"].is_null());
    let e1_hz = 440.0 * (-41.0 / 12.0_f64).exp2();
    let level = rendering["boost"]["level_left_db"].as_f64().unwrap();
    let left = rendering["boost"]["left"][0][1].as_f64().unwrap() + level;
    assert!(level < 0.01 && (left - (bounded(e1_hz) - loss_db(1e6, e1_hz))).abs() < 1e-9, "{left}");
    assert!((rendering["boost_db"].as_f64().unwrap() - 24.0).abs() < 1e-6);
    let text = sandbox.done(&[RENDER.as_slice(), &loads, &["--overwrite"]].concat());
    for told in ["undo ceiling 24 dB; still lost", "noise from 20 to 200 Hz rises by", "can hurt hearing"] {
        assert!(text.contains(told), "{told}: {text}");
    }
}

/// A1, 55 Hz, of 680 pF (textbook RC): 1 MΩ costs 12.8 dB, 470 kΩ 19.2, 47 kΩ 39.1, 22 MΩ 0.16.
#[test]
fn the_headline_of_a_change_speaks_of_the_change() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.1, 24_000)).bytes());
    for (through, load, expected) in [
        ("1M", "470k", "low A loses 6.4 dB more than in the take into 470 kΩ, 19 dB in all\n"),
        ("470k", "1M", "low A gets back 6.4 dB of 19 dB into 1 MΩ\n"),
        // The pole 24 dB below 47 kΩ's corner costs 15.2 dB.
        ("47k", "1M", "low A gets back 24 dB of 39 dB into 1 MΩ\n"),
        ("1M", "1M || 100G", "low A stays as it was recorded into 1 MΩ || 100 GΩ, where it lost 13 dB\n"),
        ("22M", "1M", "low A loses 13 dB into 1 MΩ\n"),
    ] {
        let rest = ["--through", through, "--load", load, "--instrument", "guitarron", "--overwrite"];
        let text = sandbox.done(&[RENDER.as_slice(), &rest].concat());
        assert!(text.starts_with(expected), "{through} to {load}: {text}");
    }
}

/// 22 MΩ cost the take up to 0.6 dB if the pickup has 330 pF, which is nothing beside 50 dB: then the change is the loss.
#[test]
fn a_change_that_is_the_loss_is_said_once() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.1, 24_000)).bytes());
    let loads = ["--pickup", "330p to 1n", "--through", "22M", "--load", "56k", "--instrument", "guitarron"];
    let text = sandbox.done(&[&["render", "take.wav", "-o", "out.wav"], &loads[..]].concat());
    assert!(text.starts_with("low A loses 34 to 44 dB into 56 kΩ\n"), "{text}");
}

/// 1 nF is assumed where 470 pF were: the filter gives back what 1 nF lost, and the low string stays dull. With the range the report says by how
/// much (textbook RC), and without one on what it rests.
#[test]
fn a_wrong_capacitance_is_told_with_what_it_leaves() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.1, 24_000)).bytes());
    let render = ["render", "take.wav", "-o", "out.wav", "--overwrite", "--strings", "E1"];
    let undo = ["--through", "1M", "--load", "none", "--undo-ceiling", "40"];
    let run = |pickup: &str| sandbox.done(&[&render[..], &["--pickup", pickup], &undo].concat());
    assert!(run("1n").contains("still lost if the pickup has 1 nF, in dB: E1 0.0"), "{}", run("1n"));
    let e1_hz = 440.0 * (-41.0 / 12.0_f64).exp2();
    let lost = |farads: f64, hz: f64| rc_loss_db(rc_corner_hz(1e6, farads), hz);
    let json = sandbox.json(&[&render[..], &["--pickup", "1n ±53 %"], &undo].concat());
    let undone = &json["renderings"][0]["undo"];
    let kept = |hz: f64| rc_loss_db(rc_corner_hz(1e6, 1e-9) * 10f64.powf(-2.0), hz);
    let given = |hz: f64| lost(1e-9, hz) - kept(hz);
    let close = |told: &serde_json::Value, expected: f64| {
        assert!((told.as_f64().unwrap() - expected).abs() < 1e-6, "{told} not {expected}");
    };
    let within = &undone["left_within"][0][1];
    for (end, farads) in [("low", 1.53e-9), ("high", 0.47e-9)] {
        close(&within[end], lost(farads, e1_hz) - given(e1_hz));
        let tilt = lost(farads, e1_hz) - given(e1_hz) - (lost(farads, 1e3) - given(1e3));
        close(&undone["tilt_db"][end], tilt);
    }
    // 6.3 dB too little with 470 pF, 3.3 dB too much with 1.53 nF.
    let text = run("1n ±53 %");
    assert!(text.contains("E1 -3.3 to +6.3"), "{text}");
    assert!(text.contains("the lowest string against 1 kHz -6.0 to +3.3 dB"), "{text}");
}
