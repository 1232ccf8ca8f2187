//! Files of every kind in and out, pipes, and what goes with the samples. That kinds are read and written right, other programs say
//! in the tests of the crate that does it.

use std::io::{Cursor, Write};
use std::path::Path;
use std::process::Stdio;

use firstjack_sound::{Container, Encoding, Format, Making, Metadata, Reading, Sink, Source};

use super::{UNMATCHED, rendered, rendered_file};
use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, noise};

/// The same load, in other words.
const UNCHANGED: [&str; 5] = ["--through", "1M || 277p", "--load", "277p || 1000k", "--no-match"];

const MP3: &[u8] = include_bytes!("../../../sound/tests/fixtures/sine.mp3");

fn take(kind: Kind) -> Wav {
    Wav::new(kind, 2, 48_000, &noise(0.3, 9_000, 7))
}

/// The samples of a take in another kind of file.
fn file(container: Container, take: &Wav) -> Vec<u8> {
    let encoding = match take.kind {
        Kind::Int(2) => Encoding::Int16,
        Kind::Int(_) => Encoding::Int24,
        Kind::Float => Encoding::Float32,
    };
    let format = Format { channels: take.channels, rate_hz: take.rate_hz, encoding };
    let metadata = Metadata::default();
    let making = Making { container, format, frames: take.frames() as u64, metadata: &metadata, exact: true };
    let mut sink = Sink::new(Cursor::new(Vec::new()), making).unwrap();
    let planes: Vec<_> = (0..usize::from(take.channels)).map(|channel| take.channel(channel)).collect();
    sink.write(&planes, 1.0).unwrap();
    sink.finish().unwrap().into_inner()
}

/// All channels in turn.
fn samples(sandbox: &Sandbox, name: &str) -> Vec<f64> {
    let mut source = Source::open(&sandbox.path(name), Reading::default()).unwrap();
    let mut planes = vec![Vec::new(); source.format().channels.into()];
    source.read(&mut planes, 1_000_000).unwrap();
    (0..planes[0].len()).flat_map(|frame| planes.iter().map(move |plane| plane[frame])).collect()
}

fn render<'a>(take: &'a str, out: &'a str, rest: &[&'a str]) -> Vec<&'a str> {
    [&["render", take, "--pickup", "680p", "-o", out], rest].concat()
}

#[test]
fn any_kind_into_any_other() {
    for kind in [Kind::Int(2), Kind::Int(3), Kind::Float] {
        let take = take(kind);
        let heard = rendered(&take, &UNMATCHED).samples();
        for (from, name) in
            [(Container::Wav, "take.x"), (Container::Aiff, "take.wav"), (Container::Flac, "take")]
        {
            if kind == Kind::Float && from == Container::Flac {
                continue;
            }
            let sandbox = Sandbox::new();
            sandbox.write(name, file(from, &take));
            for out in ["a.wav", "b.WAVE", "c.bwf", "d.aif", "e.aiff", "f.aifc", "g.flac"] {
                if kind == Kind::Float && out == "g.flac" {
                    continue;
                }
                sandbox.done(&render(name, out, &UNCHANGED));
                assert!(samples(&sandbox, out) == take.samples(), "{kind:?}, {from:?} to {out}");
                sandbox.done(&[render(name, out, &UNMATCHED), vec!["--overwrite"]].concat());
                assert!(samples(&sandbox, out) == heard, "{kind:?}, {from:?} to {out}");
                let start = &sandbox.read(out)[..4];
                let wanted: &[u8] = match out {
                    "a.wav" | "b.WAVE" | "c.bwf" => b"RIFF",
                    "g.flac" => b"fLaC",
                    _ => b"FORM",
                };
                assert_eq!(start, wanted, "{out}");
            }
        }
    }
}

#[test]
fn formats_that_do_not_fit() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take(Kind::Float).bytes());
    for (out, rest, said) in [
        (
            "a.flac",
            &[][..],
            "a.flac: FLAC files do not hold samples of 32-bit float; --sample-format 24 makes them fit",
        ),
        ("a.mp3", &[], "a.mp3: there is no format for this name: accepted are names ending in .wav"),
        ("a", &[], "a: there is no format for this name"),
    ] {
        let outcome = sandbox.run(&[render("take.wav", out, &UNMATCHED).as_slice(), rest].concat());
        assert_eq!(outcome.code, Some(2), "{outcome:?}");
        assert!(outcome.stderr.contains(said), "{outcome:?}");
        assert!(!sandbox.path(out).exists());
    }
    sandbox.done(&[render("take.wav", "a.flac", &UNMATCHED).as_slice(), &["--sample-format", "24"]].concat());
    let many = Wav::new(Kind::Int(2), 9, 48_000, &noise(0.3, 900, 7));
    sandbox.write("many.wav", many.bytes());
    let outcome = sandbox.run(&render("many.wav", "b.flac", &UNMATCHED));
    assert!(outcome.stderr.contains("FLAC files hold at most 8 channels, these are 9"), "{outcome:?}");
}

/// A pipe is read to its end, with lengths in its header or without.
#[test]
fn standard_input() {
    let take = take(Kind::Int(3));
    let expected = rendered(&take, &UNMATCHED);
    let mut endless = take.bytes();
    let data = endless.windows(4).position(|window| window == b"data").unwrap();
    endless[4..8].fill(0xff);
    endless[data + 4..data + 8].fill(0xff);
    for bytes in [take.bytes(), endless, file(Container::Flac, &take), file(Container::Aiff, &take)] {
        let sandbox = Sandbox::new();
        let mut child = sandbox
            .command(&render("-", "out.wav", &UNMATCHED))
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(&bytes).unwrap();
        assert!(child.wait().unwrap().success());
        assert!(sandbox.wav("out.wav").data == expected.data);
    }
    let outcome = Sandbox::new().run(&render("-", "out.wav", &UNMATCHED));
    assert!(outcome.stderr.contains("standard input: it is empty"), "{outcome:?}");
}

/// What can be read only once, or for ever, is told before it is opened.
#[cfg(unix)]
#[test]
fn pipes_and_devices_by_name() {
    let sandbox = Sandbox::new();
    nix::unistd::mkfifo(&sandbox.path("pipe.wav"), nix::sys::stat::Mode::S_IRWXU).unwrap();
    for name in ["pipe.wav", "/dev/zero", "/dev/null"] {
        let outcome = sandbox.run(&render(name, "out.wav", &UNMATCHED));
        assert_eq!(outcome.code, Some(2), "{outcome:?}");
        assert!(
            outcome.stderr.contains("it is not a file that can be read twice (- reads from a pipe)"),
            "{outcome:?}"
        );
    }
}

#[test]
fn mp3_is_not_rendered() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", MP3);
    sandbox.courtyard();
    let pack = ["pack", "take.wav", "--setups", "presets/courtyard.toml", "-o", "page.html"];
    for arguments in [render("take.wav", "out.wav", &UNMATCHED), pack.to_vec()] {
        let outcome = sandbox.run(&arguments);
        assert_eq!(outcome.code, Some(2), "{outcome:?}");
        assert!(
            outcome.stderr.contains("take.wav: it is MP3, which has thrown away part of the sound"),
            "{outcome:?}"
        );
    }
}

/// The chunk of a place in time (EBU Tech 3285, from memory): frames since midnight at byte 338.
fn bext() -> Vec<u8> {
    let mut bext = vec![b' '; 602];
    bext[338..346].copy_from_slice(&172_800_000_u64.to_le_bytes());
    bext
}

/// A rendering drops into the place that its take had, also one that was a FLAC file between.
#[test]
fn the_place_in_time_stays() {
    let mut take = take(Kind::Int(3));
    take.before = vec![(*b"bext", bext())];
    take.after = vec![(*b"LIST", b"INFOINAM\x06\0\0\0take 3".to_vec())];
    let (out, report) = rendered_file(&take.bytes(), &UNMATCHED);
    assert_eq!((&out.before, &out.after), (&take.before, &take.after));
    assert_eq!(report["renderings"][0]["left_behind"], serde_json::json!([]));
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take.bytes());
    sandbox.done(&render("take.wav", "between.flac", &UNCHANGED));
    sandbox.done(&render("between.flac", "back.wav", &UNCHANGED));
    let back = sandbox.wav("back.wav");
    assert_eq!((&back.before, &back.after), (&take.before, &take.after));
    assert!(back.data == take.data);
    let text = sandbox.done(&render("take.wav", "out.aif", &UNMATCHED));
    assert!(text.contains("  left behind, as this kind of file has no place for it: bext, LIST\n"), "{text}");
}

/// Every file of a set keeps its place.
#[test]
fn a_set_keeps_its_place() {
    let sandbox = Sandbox::new();
    sandbox.courtyard();
    let mut take = take(Kind::Float);
    take.before = vec![(*b"bext", bext())];
    sandbox.write("take.wav", take.bytes());
    sandbox.done(&["render", "take.wav", "--setups", "presets/courtyard.toml", "-o", "set"]);
    let names: Vec<_> =
        std::fs::read_dir(sandbox.path("set")).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert!(names.len() > 3);
    for name in names {
        assert_eq!(
            sandbox.wav(Path::new("set").join(name.file_name().unwrap()).to_str().unwrap()).before,
            take.before
        );
    }
}
