//! `kill -9` at random instants of a rendering: its name has nothing, what was there before, or all of it; and the next run clears away what is left.
#![cfg(unix)]

use std::process::{Child, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::support::{Sandbox, float_take, noise};

/// Instants in all, half of them with a file that is replaced.
const INSTANTS: usize = 200;

/// How the file that is replaced begins.
const BEFORE: &[u8] = b"what was there before";

const RENDER: [&str; 10] =
    ["render", "take.wav", "--pickup", "680p", "--through", "22M", "--load", "470k", "-o", "out/new.wav"];

fn spawn(sandbox: &Sandbox, overwrite: bool) -> Child {
    let rest: &[&str] = if overwrite { &["--overwrite", "--quiet"] } else { &["--quiet"] };
    let mut command = sandbox.command(&[RENDER.as_slice(), rest].concat());
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

/// What the folder has: the rendering, if its name is there, and how many other files.
fn found(sandbox: &Sandbox) -> (Option<Vec<u8>>, usize) {
    let entries = std::fs::read_dir(sandbox.path("out")).unwrap();
    let others = entries.filter(|entry| entry.as_ref().unwrap().file_name() != "new.wav").count();
    (std::fs::read(sandbox.path("out/new.wav")).ok(), others)
}

#[test]
fn killed_at_any_instant() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &noise(0.2, 96_000, 11)).bytes());
    std::fs::create_dir(sandbox.path("out")).unwrap();
    let started = Instant::now();
    assert!(spawn(&sandbox, false).wait().unwrap().success());
    let takes = started.elapsed();
    let whole = found(&sandbox).0.unwrap();
    let mut rng = fastrand::Rng::with_seed(5);
    let (mut half, mut done, mut cleared) = (0, 0, 0);
    for instant in 0..INSTANTS {
        let overwrite = instant % 2 == 1;
        let before = overwrite.then(|| BEFORE.to_vec());
        let _ = std::fs::remove_file(sandbox.path("out/new.wav"));
        if let Some(before) = &before {
            sandbox.write("out/new.wav", before);
        }
        let left = found(&sandbox).1;
        let mut child = spawn(&sandbox, overwrite);
        thread::sleep(takes.mul_f64(rng.f64() * 1.1));
        child.kill().unwrap();
        child.wait().unwrap();
        let (new, others) = found(&sandbox);
        assert!(new == before || new.as_ref() == Some(&whole), "half a file bears the name");
        assert!(others <= 1, "{others} leftovers: the ones before were not cleared");
        half += usize::from(others > 0);
        done += usize::from(new.as_ref() == Some(&whole));
        cleared += usize::from(left > 0 && others == 0);
    }
    let told = format!("{half} left a part, {done} were done, {cleared} times a leftover was cleared");
    assert!(half >= INSTANTS / 20 && done >= 1 && cleared >= 1, "the instants missed the work: {told}");
    let _ = std::fs::remove_file(sandbox.path("out/new.wav"));
    assert!(spawn(&sandbox, false).wait().unwrap().success());
    assert_eq!(found(&sandbox), (Some(whole), 0), "leftovers stay");
    assert!(takes < Duration::from_secs(5), "{takes:?}: the take is too long for a test");
}
