//! When something was switched, as it is typed and as a file has it.

use super::{take, tone};
use crate::support::Sandbox;

const LOADS: [&str; 4] = ["--load-a", "1M", "--added", "56k ±1%"];

fn with_take() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take(&tone(48_000 * 4)).bytes());
    sandbox
}

#[track_caller]
fn says(marks: &str, code: i32, said: &str) {
    let sandbox = with_take();
    sandbox.write("marks.txt", "# in, out\n1.0 low A\n\n0:02.5\n");
    sandbox.write("words.txt", "1.0\nthen\n");
    sandbox.write("binary.txt", [0xff, 0xfe, 0x00]);
    sandbox.write("empty.txt", "\n\n");
    std::fs::create_dir(sandbox.path("a folder")).unwrap();
    let outcome = sandbox.run(&[&["measure", "toggle", "take.wav", "--marks", marks], &LOADS[..]].concat());
    assert_eq!(outcome.code, Some(code), "{marks}: {outcome:?}");
    assert!(outcome.stderr.contains(said), "{marks}: {outcome:?}");
}

#[test]
fn times_and_files() {
    // What is read is too little to tell anything from.
    for marks in ["1.0 2.5", "1;0:02,5", "marks.txt"] {
        says(marks, 3, "");
    }
    says("1 2 4.5", 2, "--marks: 4.5 s lies behind the end of the take: accepted is less than 4.000 s");
    says("", 2, "--marks: 0 times");
    says("soon", 2, "cannot read 'soon'");
    says("soon", 2, "nor is 'soon' a file with one time a line");
    says("1 two", 2, "cannot read 'two': accepted are seconds");
    says("-1 2", 2, "cannot read '-1'");
    says("words.txt", 2, "words.txt: line 2: a mark: cannot read 'then'");
    says("a folder", 2, "a folder: it is a folder; accepted is a text with one time a line");
    says("binary.txt", 2, "binary.txt: cannot read the marks");
    says("empty.txt", 2, "--marks: 0 times");
}

#[test]
fn what_is_missing_is_said() {
    let sandbox = with_take();
    for (arguments, said) in [
        (&["--added", "56k", "--marks", "1 2"][..], "--load-a is missing: give it, such as 1M"),
        (&["--load-a", "1M", "--marks", "1 2"], "--added is missing"),
        (&["--load-a", "1M", "--added", "56k"], "--marks is missing"),
        (&["--load-a", "1M", "--known-pickup", "680p"], "--marks is missing"),
        (
            &["--load-a", "1M", "--known-pickup", "680p", "--added", "56k", "--marks", "1"],
            "cannot be used with",
        ),
    ] {
        let outcome = sandbox.run(&[&["measure", "toggle", "take.wav"], arguments].concat());
        assert!(outcome.code == Some(2) && outcome.stderr.contains(said), "{arguments:?}: {outcome:?}");
    }
    let rub = sandbox.run(&["measure", "rub", "take.wav", "--load-a", "1M", "--added", "56k"]);
    assert!(rub.code == Some(2) && rub.stderr.contains("--marks is missing"), "{rub:?}");
}

/// What is proposed can be given back as it is.
#[test]
fn proposed_marks_are_read_again() {
    let sandbox = with_take();
    let command = ["measure", "toggle", "take.wav", "--suggest-marks"];
    let marks = sandbox.done(&command);
    assert!(marks.lines().all(|line| line.parse::<f64>().is_ok()), "{marks}");
    let json = sandbox.json(&command);
    assert_eq!(json["marks_seconds"].as_array().unwrap().len(), marks.lines().count());
}
