//! What cannot be packed is refused with what would be accepted, and nothing is written.

use super::{PACK, music, with};
use crate::support::{Sandbox, float_take};

#[track_caller]
fn refused(sandbox: &Sandbox, rest: &[&str], said: &[&str]) {
    let before = sandbox.listing();
    let outcome = sandbox.run(&[PACK.as_slice(), rest].concat());
    assert_eq!(outcome.code, Some(2), "{rest:?}: {outcome:?}");
    for wanted in said {
        assert!(outcome.stderr.contains(wanted), "{rest:?}: no '{wanted}' in {}", outcome.stderr);
    }
    assert!(sandbox.listing() == before, "{rest:?} changed a file");
}

#[test]
fn options_out_of_range() {
    let sandbox = with(&music());
    let times = "accepted are seconds (30, 12.5) or minutes and seconds (1:02.5), up to a day";
    refused(&sandbox, &["--from", "early"], &["--from: cannot read 'early'", times]);
    refused(&sandbox, &["--from", "-1"], &["--from: cannot read '-1'", times]);
    refused(&sandbox, &["--length", "1:x"], &["--length: cannot read '1:x'", times]);
    refused(&sandbox, &["--length", "inf"], &["--length: cannot read 'inf'", times]);
    refused(&sandbox, &["--length", "0"], &["--length: accepted is more than 0 s"]);
    refused(&sandbox, &["--from", "2"], &["--from: it lies behind the end", "less than 2.000 s"]);
    refused(&sandbox, &["--kbps", "8"], &["48..=256"]);
    refused(
        &sandbox,
        &["--audio", "flac", "--kbps", "64"],
        &["--kbps: FLAC has no rate", "--audio opus or auto"],
    );
    refused(
        &sandbox,
        &["--abx", "combo", "piano"],
        &["--abx: there is no sound 'piano'", "as recorded, passive box, combo"],
    );
    refused(&sandbox, &["--abx", "combo", "combo"], &["--abx: both are the same sound"]);
    refused(&sandbox, &["--desk-gain", "50"], &["accepted are 0.1 to 40 dB"]);
    refused(&sandbox, &["--undo-ceiling", "x"], &["--undo-ceiling: cannot read 'x'"]);
    refused(&sandbox, &["--undo-ceiling", "auto"], &["--undo-ceiling: auto goes with firstjack render"]);
    refused(
        &sandbox,
        &["--undo-floor", "0.6"],
        &["--undo-floor: cannot read '0.6'", "accepted are 0.1 to 0.5"],
    );
    refused(&sandbox, &["--undo-floor", "0.5"], &["--undo-floor: nothing that is asked for lifts the lows"]);
    let mut arguments = PACK.to_vec();
    arguments[5] = "piano";
    let outcome = sandbox.run(&arguments);
    assert!(
        outcome.stderr.contains("--rescue: there is no setup 'piano': accepted are passive box, combo, none"),
        "{outcome:?}"
    );
    let without = sandbox.run(&["pack", "take.wav", "--pickup", "680p", "-o", "page.html"]);
    assert_eq!(without.code, Some(2), "{without:?}");
}

#[test]
fn takes_that_cannot_be_heard() {
    let sandbox = with(&float_take(48_000, &[]));
    refused(
        &sandbox,
        &[],
        &["take.wav: there is no sound in it; accepted are takes with at least one frame"],
    );
    sandbox.write("take.wav", "");
    refused(&sandbox, &[], &["take.wav: it is empty"]);
    let bytes = music().bytes();
    sandbox.write("take.wav", &bytes[..bytes.len() / 2]);
    refused(&sandbox, &[], &["take.wav: truncated", "--allow-damaged"]);
    let mut samples = music().samples();
    samples[50] = f64::NAN;
    sandbox.write("take.wav", float_take(48_000, &samples).bytes());
    refused(&sandbox, &[], &["the sample at frame 50", "is NaN", "--allow-damaged"]);
}

#[test]
fn nothing_is_overwritten_unasked() {
    let sandbox = with(&music());
    sandbox.write("page.html", "precious");
    refused(&sandbox, &[], &["page.html: it exists; give another -o, or --overwrite"]);
    let mut arguments = PACK.to_vec();
    arguments[7] = "take.wav";
    let outcome = sandbox.run(&[arguments.as_slice(), &["--overwrite"]].concat());
    assert!(outcome.stderr.contains("take.wav: it is the take itself"), "{outcome:?}");
    arguments[7] = "nowhere/page.html";
    let outcome = sandbox.run(&arguments);
    assert!(outcome.stderr.contains("nowhere: there is no such folder"), "{outcome:?}");
}
