use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

use super::wav::Wav;

/// A folder of one test's own, in which the program runs.
pub struct Sandbox(TempDir);

/// What a run came to.
#[derive(Debug)]
pub struct Outcome {
    pub code: Option<i32>,
    pub stdout: String,
    pub stderr: String,
}

impl Sandbox {
    pub fn new() -> Self {
        Self(TempDir::new().unwrap())
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.path(name), bytes).unwrap();
    }

    pub fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap()
    }

    pub fn wav(&self, name: &str) -> Wav {
        Wav::parse(&self.read(name))
    }

    /// The file of setups that the demo uses.
    pub fn courtyard(&self) -> &'static str {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../presets/courtyard.toml");
        fs::create_dir_all(self.path("presets")).unwrap();
        fs::copy(file, self.path("presets/courtyard.toml")).unwrap();
        "presets/courtyard.toml"
    }

    /// The program, ready to run here; nothing in the environment decides about colours, and the kit is the sandbox's `own.toml`.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_firstjack"));
        command.args(arguments).current_dir(self.0.path());
        for variable in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
            command.env_remove(variable);
        }
        command.env("FIRSTJACK_KIT", self.path("own.toml"));
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Outcome {
        Outcome::of(self.command(arguments).output())
    }

    /// Runs what has to succeed and gives its standard output.
    #[track_caller]
    pub fn done(&self, arguments: &[&str]) -> String {
        let outcome = self.run(arguments);
        assert_eq!(outcome.code, Some(0), "{arguments:?}: {outcome:?}");
        outcome.stdout
    }

    /// Runs with `--json` what has to succeed.
    #[track_caller]
    pub fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.done(&[arguments, &["--json"]].concat())).unwrap()
    }

    /// Every file and folder here, with what is in it.
    pub fn listing(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let mut all = BTreeMap::new();
        let mut folders = vec![self.0.path().to_owned()];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path.clone());
                }
                let bytes = if path.is_file() { fs::read(&path).unwrap() } else { Vec::new() };
                all.insert(path, bytes);
            }
        }
        all
    }
}

impl Outcome {
    pub fn of(output: std::io::Result<Output>) -> Self {
        let output = output.unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Self { code: output.status.code(), stdout: text(output.stdout), stderr: text(output.stderr) }
    }
}
