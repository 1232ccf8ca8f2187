//! The program, what is typed to it, and an interface of files.

use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use nix::sys::signal::{Signal, kill};
use nix::unistd::Pid;

use crate::support::{Outcome, Sandbox};

/// ALSA's `file` plugin in front of its `null` one, which takes and gives whatever it is asked for at once.
const ALSA: &str = r#"
pcm.!default {
  type asym
  playback.pcm { type plug slave.pcm "out" }
  capture.pcm { type plug slave.pcm "in" }
}
pcm.out { type file slave.pcm { type null } file "FOLDER/played.raw" format "raw" }
pcm.in { type file slave.pcm { type null } file "/dev/null" infile "FOLDER/heard.raw" format "raw" }
ctl.!default { type null }
"#;

/// A program that runs, and the person before it.
pub struct Rig {
    pub sandbox: Sandbox,
    child: Child,
    keys: Option<ChildStdin>,
    said: Arc<Mutex<String>>,
    read: usize,
}

/// A command in a folder with such an interface.
pub fn command(sandbox: &Sandbox, arguments: &[&str]) -> Command {
    let folder = sandbox.path("");
    sandbox.write("alsa.conf", ALSA.replace("FOLDER", folder.to_str().unwrap().trim_end_matches('/')));
    let mut command = sandbox.command(&[&["measure", "guided"], arguments].concat());
    command.env("ALSA_CONFIG_PATH", sandbox.path("alsa.conf"));
    command
}

impl Rig {
    /// With an interface at which nothing is heard yet.
    pub fn new(arguments: &[&str]) -> Self {
        let sandbox = Sandbox::new();
        write_raw(&sandbox, "heard.raw", &vec![0.0; 500_000]);
        let mut command = command(&sandbox, arguments);
        let mut child =
            command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let said = Arc::new(Mutex::new(String::new()));
        let (mut stderr, heard) = (child.stderr.take().unwrap(), Arc::clone(&said));
        std::thread::spawn(move || {
            let mut block = [0; 4096];
            while let Ok(bytes @ 1..) = stderr.read(&mut block) {
                heard.lock().unwrap().push_str(&String::from_utf8_lossy(&block[..bytes]));
            }
        });
        let keys = child.stdin.take();
        Self { sandbox, child, keys, said, read: 0 }
    }

    /// Waits until something was said since what was last waited for.
    #[track_caller]
    pub fn hear(&mut self, wanted: &str) {
        let begin = Instant::now();
        while begin.elapsed() < Duration::from_secs(60) {
            if let Some(at) = self.said.lock().unwrap()[self.read..].find(wanted) {
                self.read += at + wanted.len();
                return;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        panic!("no '{wanted}' in {:?}", &self.said.lock().unwrap()[self.read..]);
    }

    pub fn say(&mut self, line: &str) {
        writeln!(self.keys.as_mut().unwrap(), "{line}").unwrap();
    }

    /// Confirms what must be off, up to the first step's question.
    pub fn begin(&mut self) {
        self.hear("Monitors down, headphones off the ears.");
        self.hear("Phantom power off");
        self.hear("Is all of that so?");
        self.say("");
        self.hear("[Enter: start the sweep");
    }

    /// Ctrl-C.
    pub fn interrupt(&self) {
        kill(Pid::from_raw(self.child.id().cast_signed()), Signal::SIGINT).unwrap();
    }

    /// What it came to, and its folder; within ten seconds.
    pub fn end(mut self) -> (Sandbox, Outcome) {
        let begin = Instant::now();
        while self.child.try_wait().unwrap().is_none() {
            if begin.elapsed() > Duration::from_secs(10) {
                self.child.kill().unwrap();
                panic!("it does not end: {}", self.said.lock().unwrap());
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        let mut outcome = Outcome::of(self.child.wait_with_output());
        // The thread that reads it is at its end, or will never be.
        std::thread::sleep(Duration::from_millis(50));
        outcome.stderr.clone_from(&self.said.lock().unwrap());
        (self.sandbox, outcome)
    }
}

/// Samples of 32-bit floats as ALSA's file plugin has them.
pub fn raw(path: &Path) -> Vec<f64> {
    let bytes = std::fs::read(path).unwrap();
    bytes.chunks_exact(4).map(|sample| f32::from_le_bytes(sample.try_into().unwrap()).into()).collect()
}

#[expect(clippy::cast_possible_truncation, reason = "as the plugin has them")]
pub fn write_raw(sandbox: &Sandbox, name: &str, samples: &[f64]) {
    let bytes: Vec<u8> = samples.iter().flat_map(|sample| (*sample as f32).to_le_bytes()).collect();
    // Whoever reads the file has all of it or what was there before.
    sandbox.write("next.raw", bytes);
    std::fs::rename(sandbox.path("next.raw"), sandbox.path(name)).unwrap();
}
