//! The ends of what tolerances leave open, heard: `--at low|high`.

use super::loads::BOUND_DB;
use crate::support::{Outcome, Sandbox, float_take, level_db, rc_corner_hz, rc_loss_db, sine};

const RATE_HZ: u32 = 48_000;

fn run(rest: &[&str]) -> (Sandbox, Outcome) {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(RATE_HZ, &sine(RATE_HZ, 55.0, 0.01, 2 * RATE_HZ)).bytes());
    let command = ["render", "take.wav", "-o", "out.wav", "--no-match", "--strings", "A1"];
    let outcome = sandbox.run(&[&command, rest].concat());
    (sandbox, outcome)
}

/// Level of the lowest string in the second of two seconds, against the take's.
#[track_caller]
fn change_db(rest: &[&str]) -> f64 {
    let (sandbox, outcome) = run(rest);
    assert_eq!(outcome.code, Some(0), "{outcome:?}");
    let second = |samples: &[f64]| level_db(&samples[samples.len() / 2..], RATE_HZ, 55.0);
    second(&sandbox.wav("out.wav").samples()) - second(&sandbox.wav("take.wav").samples())
}

fn loss_db(ohms: f64, farads: f64) -> f64 {
    rc_loss_db(rc_corner_hz(ohms, farads), 55.0)
}

/// 680 pF within 30 % into 1 MΩ within 20 %: least is lost with the largest of both, most with the smallest (textbook RC).
#[test]
fn each_end_is_what_is_told_of_it() {
    let rest = ["--pickup", "680p ±30 %", "--through", "none", "--load", "1M ±20 %"];
    let at = |end: &[&str]| change_db(&[&rest, end].concat());
    for (end, expected_db) in [
        (&[][..], -loss_db(1e6, 680e-12)),
        (&["--at", "low"], -loss_db(1.2e6, 1.3 * 680e-12)),
        (&["--at", "high"], -loss_db(0.8e6, 0.7 * 680e-12)),
    ] {
        let db = at(end);
        assert!((db - expected_db).abs() <= BOUND_DB, "{end:?}: {db} not {expected_db}");
    }
}

/// The take's own pickup is the same one: its capacitance counts on both sides, and a take through a load is changed by the difference.
#[test]
fn the_recording_lies_within_tolerances_too() {
    let rest = ["--pickup", "680p ±30 %", "--through", "10M", "--load", "1M", "--at"];
    for (end, farads) in [("low", 1.3 * 680e-12), ("high", 0.7 * 680e-12)] {
        let expected_db = loss_db(10e6, farads) - loss_db(1e6, farads);
        let db = change_db(&[&rest[..], &[end]].concat());
        assert!((db - expected_db).abs() <= BOUND_DB, "{end}: {db} not {expected_db}");
    }
}

/// An undo gives back least where least was lost.
#[test]
fn an_undo_has_ends_too() {
    let rest =
        ["--pickup", "680p ±30 %", "--through", "1M", "--load", "none", "--undo-ceiling", "off", "--at"];
    // Of the change from the recording: the lowest string loses least where it gains most.
    for (end, farads) in [("low", 0.7 * 680e-12), ("high", 1.3 * 680e-12)] {
        let db = change_db(&[&rest[..], &[end]].concat());
        assert!((db - loss_db(1e6, farads)).abs() <= BOUND_DB, "{end}: {db}");
    }
}

#[test]
fn the_report_says_so() {
    let rest = ["--pickup", "680p ±30 %", "--through", "none", "--load", "1M"];
    let (_, middle) = run(&rest);
    assert!(middle.stdout.contains("low A loses 11 to 16 dB into 1 MΩ"), "{middle:?}");
    let (_, low) = run(&[&rest[..], &["--at", "low"]].concat());
    assert!(low.stdout.contains("low A loses 11 dB into 1 MΩ"), "{low:?}");
    assert!(
        low.stdout.contains("Heard at the low end of the tolerances, where the lowest string loses least."),
        "{low:?}"
    );
    let (_, json) = run(&[&rest[..], &["--at", "high", "--json"]].concat());
    assert!(json.stdout.contains("\"at\": \"high\""), "{json:?}");
    assert!(!run(&[&rest[..], &["--json"]].concat()).1.stdout.contains("\"at\""));
}

/// An end of nothing is refused, not left aside.
#[test]
fn without_a_tolerance_there_is_no_end() {
    let (_, outcome) = run(&["--pickup", "680p", "--through", "none", "--load", "1M", "--at", "low"]);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stderr.contains("--at: no value carries a tolerance"), "{outcome:?}");
}
