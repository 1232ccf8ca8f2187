//! Devices that are not there, or go.

use std::process::Stdio;

use nix::sys::stat::Mode;
use nix::unistd::mkfifo;

use super::rig::{Rig, command, write_raw};
use crate::support::{Outcome, Sandbox};

#[test]
fn what_is_not_there_is_refused_before_anything_is_asked() {
    let sandbox = Sandbox::new();
    write_raw(&sandbox, "heard.raw", &[0.0; 1_000]);
    std::fs::create_dir(sandbox.path("kept")).unwrap();
    sandbox.write("kept/empty.wav", b"");
    for (arguments, code, said) in [
        (&["pickup", "--input", "nowhere"][..], 2, "--input: no device 'nowhere'"),
        (&["pickup", "--output", "nowhere"], 2, "--output: no device 'nowhere'"),
        (&["pickup", "--rate", "8000"], 2, "accepted are 44100 to 192000 Hz"),
        (&["pickup", "--channel", "0"], 2, "1..=64"),
        (&["pickup", "--resistor", "many"], 2, "--resistor"),
        (&["coil", "--capacitor", "1n"], 2, "a coil is measured through a resistor"),
        (&["pickup", "--resistor", "1k", "--capacitor", "1n"], 2, "cannot be used with"),
        (&["pickup", "--keep", "kept"], 2, "empty.wav: it exists"),
        (&["pickup", "--picture", "fit.tiff"], 2, "fit.tiff"),
    ] {
        let outcome = Outcome::of(command(&sandbox, arguments).output());
        assert_eq!(outcome.code, Some(code), "{arguments:?}: {outcome:?}");
        assert!(outcome.stderr.contains(said), "{arguments:?}: no '{said}' in {}", outcome.stderr);
        assert!(!outcome.stderr.contains("Before anything sounds"), "{arguments:?}: {outcome:?}");
    }
    std::fs::remove_file(sandbox.path("heard.raw")).unwrap();
    let outcome = Outcome::of(command(&sandbox, &["pickup"]).output());
    assert_eq!(outcome.code, Some(1), "{outcome:?}");
    assert!(outcome.stderr.contains("does not answer"), "{outcome:?}");
}

/// Nobody there to be led.
#[test]
fn without_a_keyboard_it_ends() {
    let sandbox = Sandbox::new();
    write_raw(&sandbox, "heard.raw", &[0.0; 1_000]);
    let outcome = Outcome::of(command(&sandbox, &["pickup"]).stdin(Stdio::null()).output());
    assert_eq!(outcome.code, Some(130), "{outcome:?}");
    assert!(
        !sandbox.path("played.raw").exists() || sandbox.read("played.raw").is_empty(),
        "something sounded"
    );
}

#[test]
fn an_interface_that_was_unplugged_is_told_and_may_come_back() {
    let mut rig = Rig::new(&["pickup"]);
    rig.begin();
    let (there, gone) = (rig.sandbox.path("heard.raw"), rig.sandbox.path("gone.raw"));
    std::fs::rename(&there, &gone).unwrap();
    rig.say("");
    rig.hear("does not start");
    rig.hear("[Enter: start the sweep");
    std::fs::rename(&gone, &there).unwrap();
    rig.say("");
    rig.hear("Nothing arrives at the input");
    rig.say("q");
    assert_eq!(rig.end().1.code, Some(130));
}

/// A pipe that nobody writes into keeps whoever opens it.
#[test]
fn an_interface_that_does_not_answer_hangs_nothing() {
    let sandbox = Sandbox::new();
    mkfifo(&sandbox.path("heard.raw"), Mode::S_IRWXU).unwrap();
    let outcome = Outcome::of(command(&sandbox, &["pickup"]).output());
    assert_eq!(outcome.code, Some(1), "{outcome:?}");
    assert!(outcome.stderr.contains("does not answer"), "{outcome:?}");
}

/// One that stops in the middle of a sweep: it is told; and Ctrl-C ends the program meanwhile.
#[test]
fn an_interface_that_stops_in_the_sweep_hangs_nothing() {
    for ctrl_c in [false, true] {
        let mut rig = Rig::new(&["pickup"]);
        rig.begin();
        std::fs::remove_file(rig.sandbox.path("heard.raw")).unwrap();
        mkfifo(&rig.sandbox.path("heard.raw"), Mode::S_IRWXU).unwrap();
        rig.say("");
        let mut pipe = std::fs::File::create(rig.sandbox.path("heard.raw")).unwrap();
        std::io::Write::write_all(&mut pipe, &[0; 40_000]).unwrap();
        if ctrl_c {
            std::thread::sleep(std::time::Duration::from_millis(500));
            rig.interrupt();
        } else {
            rig.hear("The interface does not answer");
            rig.say("q");
        }
        let (_, outcome) = rig.end();
        assert_eq!(outcome.code, Some(130), "{outcome:?}");
        drop(pipe);
    }
}

#[test]
fn ctrl_c_ends_a_question() {
    let mut rig = Rig::new(&["box"]);
    rig.begin();
    rig.interrupt();
    let (sandbox, outcome) = rig.end();
    assert_eq!(outcome.code, Some(130), "{outcome:?}");
    assert!(outcome.stderr.contains("interrupted"), "{outcome:?}");
    assert!(!sandbox.path("played.raw").exists() || sandbox.read("played.raw").is_empty());
}
