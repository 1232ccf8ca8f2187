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
