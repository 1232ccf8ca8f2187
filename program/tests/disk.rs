//! What the system does to a rendering: no room, no length in the format, an end before the end.
#![cfg(unix)]

use std::io::{Seek, SeekFrom, Write};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use nix::sys::signal::{SigHandler, Signal, kill};
use nix::unistd::Pid;

use crate::support::wav::{Kind, Wav};
use crate::support::{Outcome, Sandbox, float_take, sine};

fn with_take() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.2, 96_000)).bytes());
    sandbox.courtyard();
    sandbox
}

const RENDER: [&str; 7] = ["render", "take.wav", "--pickup", "680p", "--through", "22M", "-o"];

/// Runs the program behind a shell line that ends in `"$@"`.
fn behind(sandbox: &Sandbox, shell: &str, arguments: &[&str]) -> Outcome {
    let program = sandbox.command(arguments);
    let mut command = Command::new("sh");
    command.args(["-c", shell, "sh"]).arg(program.get_program()).args(program.get_args());
    Outcome::of(command.current_dir(sandbox.path("")).output())
}

/// A limit on the length of files stands in for the end of the disk: writing fails in the middle.
#[test]
fn writing_that_fails_leaves_everything_as_it_was() {
    let sandbox = with_take();
    sandbox.write("there.wav", "precious");
    let before = sandbox.listing();
    for rest in [
        &["new.wav", "--load", "470k"][..],
        &["there.wav", "--load", "470k", "--overwrite"],
        &["set", "--setups", "presets/courtyard.toml"],
    ] {
        let outcome =
            behind(&sandbox, "trap '' XFSZ; ulimit -f 100; exec \"$@\"", &[RENDER.as_slice(), rest].concat());
        assert_eq!(outcome.code, Some(1), "{outcome:?}");
        assert!(outcome.stderr.contains(": cannot write: "), "{outcome:?}");
        assert!(sandbox.listing() == before, "{rest:?} left something");
    }
    let curve = ["curve", "--pickup", "680p", "--load", "1M", "-o", "curves.svg"];
    assert_eq!(behind(&sandbox, "trap '' XFSZ; ulimit -f 8; exec \"$@\"", &curve).code, Some(1));
    assert!(sandbox.listing() == before);
}

/// A disk that is really full, where the system lets the test have one.
#[test]
fn a_full_disk() {
    let mounting = Command::new("unshare").args(["-rm", "true"]).stderr(Stdio::null()).status();
    if !mounting.is_ok_and(|status| status.success()) {
        // Past the test harness, which shows what passing tests print to nobody.
        let said =
            "SKIPPED: a really full disk: no mounting here; the limit on file lengths stands in for it";
        writeln!(std::io::stderr(), "{said}").unwrap();
        return;
    }
    let sandbox = with_take();
    std::fs::create_dir(sandbox.path("small")).unwrap();
    let on_small = |arguments: &[&str], said: &[&str]| {
        let outcome = behind(
            &sandbox,
            "exec unshare -rm sh -c 'mount -t tmpfs -o size=64k none small && { \"$@\"; code=$?; ls -A small; exit $code; }' \
             sh \"$@\"",
            arguments,
        );
        assert_eq!((outcome.code, outcome.stdout.as_str()), (Some(1), ""), "{outcome:?}");
        assert!(said.iter().all(|said| outcome.stderr.contains(said)), "{outcome:?}");
    };
    // 96 000 floats and a header; for a set, the recording and six setups.
    let room = |needed| ["there is too little room: ", needed, ", 0.1 MB free; make room"];
    on_small(&[RENDER.as_slice(), &["small/new.wav", "--load", "470k"]].concat(), &room("0.4 MB needed"));
    let set = ["small/set", "--setups", "presets/courtyard.toml"];
    on_small(&[RENDER.as_slice(), &set].concat(), &room("2.7 MB needed"));
    // How long a picture becomes is known when it is drawn.
    let curve = ["curve", "--setups", "presets/courtyard.toml", "-o", "small/new.png"];
    on_small(&curve, &["small/new.png: cannot write: No space left on device"]);
}

/// A header, and as much data as it promises without a disk having to hold it.
fn sparse(sandbox: &Sandbox, kind: Kind, frames: u32) {
    let empty = Wav::new(kind, 1, 48_000, &[]);
    let bytes = frames * u32::from(kind.bytes());
    let mut file = std::fs::File::create(sandbox.path("long.wav")).unwrap();
    file.write_all(&empty.bytes()).unwrap();
    for (at, length) in [(4, bytes + 36), (40, bytes)] {
        file.seek(SeekFrom::Start(at)).unwrap();
        file.write_all(&length.to_le_bytes()).unwrap();
    }
    file.set_len(u64::from(bytes) + 44).unwrap();
}

/// Refused from the header alone: reading 4 GiB would take more than the seconds of processor time that it is given.
#[test]
fn renderings_too_long_for_their_format() {
    let sandbox = Sandbox::new();
    sparse(&sandbox, Kind::Int(1), u32::MAX - 59);
    let mut arguments =
        [RENDER.as_slice(), &["new.aif", "--load", "470k", "--sample-format", "float"]].concat();
    arguments[1] = "long.wav";
    let outcome = behind(&sandbox, "ulimit -t 3; exec \"$@\"", &arguments);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    for said in
        ["new.aif: the rendering would have 17179869", "AIFF files hold at most 4294967295", "ending in .wav"]
    {
        assert!(outcome.stderr.contains(said), "{outcome:?}");
    }
    assert!(!sandbox.path("new.aif").exists());
}

/// Ctrl-C while a second take is worked on: the first one's files stay, and that is said.
#[test]
fn an_interrupted_second_take() {
    // SAFETY: the default action runs no code of ours.
    unsafe { nix::sys::signal::signal(Signal::SIGINT, SigHandler::SigDfl) }.unwrap();
    let sandbox = with_take();
    sparse(&sandbox, Kind::Int(2), 48_000 * 3600);
    let mut arguments = RENDER.to_vec();
    arguments.extend(["set", "--load", "470k", "--no-match", "--sample-format", "float"]);
    arguments.insert(2, "long.wav");
    let mut child =
        sandbox.command(&arguments).stderr(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let first = "take-1-470-kΩ.wav";
    while !sandbox.path("set").join(first).exists() {
        assert!(child.try_wait().unwrap().is_none(), "it ended before its first take");
        thread::sleep(Duration::from_millis(5));
    }
    kill(Pid::from_raw(child.id().try_into().unwrap()), Signal::SIGINT).unwrap();
    let outcome = Outcome::of(child.wait_with_output());
    assert_eq!(outcome.code, Some(130), "{outcome:?}");
    let said = "interrupted: the first take is finished, nothing of the others has been written";
    assert!(outcome.stderr.contains(said), "{outcome:?}");
    let left: Vec<_> =
        std::fs::read_dir(sandbox.path("set")).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, [first]);
    assert_eq!(sandbox.wav(&format!("set/{first}")).frames(), 96_000);
}

/// Ctrl-C, and the system asking to end, in the middle of writing.
#[test]
fn an_interrupted_rendering_leaves_nothing() {
    for signal in [Signal::SIGINT, Signal::SIGTERM, Signal::SIGHUP] {
        // What the tests were started with (nohup, a shell's background) is handed on to the program, which would obey it.
        // SAFETY: the default action runs no code of ours.
        unsafe { nix::sys::signal::signal(signal, SigHandler::SigDfl) }.unwrap();
    }
    for signal in [Signal::SIGINT, Signal::SIGTERM] {
        let sandbox = Sandbox::new();
        sparse(&sandbox, Kind::Int(2), 48_000 * 3600);
        let mut arguments = [RENDER.as_slice(), &["out.wav", "--load", "470k", "--no-match"]].concat();
        arguments[1] = "long.wav";
        arguments.extend(["--sample-format", "float"]);
        let mut child =
            sandbox.command(&arguments).stderr(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
        let names = || -> Vec<_> {
            let entries = std::fs::read_dir(sandbox.path("")).unwrap();
            entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
        };
        while names().len() < 2 {
            assert!(child.try_wait().unwrap().is_none(), "it ended before it began to write");
            thread::sleep(Duration::from_millis(5));
        }
        kill(Pid::from_raw(child.id().try_into().unwrap()), signal).unwrap();
        let outcome = Outcome::of(child.wait_with_output());
        assert_eq!(outcome.code, Some(130), "{outcome:?}");
        assert!(outcome.stderr.contains("interrupted: nothing has been written"), "{outcome:?}");
        assert_eq!(names(), ["long.wav"]);
    }
}
