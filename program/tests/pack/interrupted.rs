//! What the system does to a page in the making.
#![cfg(unix)]

use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use nix::sys::signal::{SigHandler, Signal, kill};
use nix::unistd::Pid;

use super::{PACK, mix, music, with};
use crate::support::{Outcome, float_take};

/// A limit on the length of files stands in for the end of the disk: while sounds are encoded, and while the page is written.
#[test]
fn a_full_disk_leaves_everything_as_it_was() {
    let sandbox = with(&music());
    let before = sandbox.listing();
    for (blocks, rest) in [("8", &["--audio", "flac"][..]), ("200", &["--audio", "opus", "--kbps", "256"])] {
        let program = sandbox.command(&[PACK.as_slice(), rest].concat());
        let shell = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$@\"");
        let mut command = Command::new("sh");
        command.args(["-c", &shell, "sh"]).arg(program.get_program()).args(program.get_args());
        let outcome = Outcome::of(command.current_dir(sandbox.path("")).output());
        assert_eq!(outcome.code, Some(1), "{rest:?}: {outcome:?}");
        assert!(outcome.stderr.contains("page.html: cannot write: "), "{outcome:?}");
        assert!(sandbox.listing() == before, "{rest:?} left something");
    }
}

/// Ctrl-C while sounds are encoded.
#[test]
fn an_interrupted_pack_leaves_nothing() {
    // What the tests were started with is handed on to the program, which would obey it.
    // SAFETY: the default action runs no code of ours.
    unsafe { nix::sys::signal::signal(Signal::SIGINT, SigHandler::SigDfl) }.unwrap();
    let sandbox = with(&float_take(48_000, &mix(48_000, 48_000 * 60)));
    let before = sandbox.listing();
    let arguments = [PACK.as_slice(), &["--audio", "opus"]].concat();
    let mut child =
        sandbox.command(&arguments).stderr(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    // Once it looks out for the signal it works on the sounds, which takes it seconds.
    while !catches_interrupt(child.id()) {
        assert!(child.try_wait().unwrap().is_none(), "it ended before it was interrupted");
        thread::sleep(Duration::from_millis(5));
    }
    thread::sleep(Duration::from_millis(300));
    kill(Pid::from_raw(child.id().try_into().unwrap()), Signal::SIGINT).unwrap();
    let outcome = Outcome::of(child.wait_with_output());
    assert_eq!(outcome.code, Some(130), "{outcome:?}");
    assert!(outcome.stderr.contains("interrupted: nothing has been written"), "{outcome:?}");
    assert!(sandbox.listing() == before, "something was left");
}

/// Whether a process has a handler for SIGINT: where that can be read (Linux' proc(5), field SigCgt), or else after long enough.
fn catches_interrupt(process: u32) -> bool {
    let Ok(status) = std::fs::read_to_string(format!("/proc/{process}/status")) else {
        thread::sleep(Duration::from_secs(1));
        return true;
    };
    let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:"));
    let caught = caught.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    caught.is_some_and(|mask| mask & 2 != 0)
}
