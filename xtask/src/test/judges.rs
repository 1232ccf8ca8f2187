//! Judges that were not written here, in Python.

use std::path::PathBuf;

use anyhow::Result;

use super::Options;
use crate::built::Built;
use crate::{demo, guide, packages, paths, shell};

/// The longest, so that none of them is left over when the others have ended.
const FIRST: [&str; 7] = [
    "test_workstation",
    "test_rescue",
    "test_level_match",
    "test_votes_by_simulation",
    "test_pack_phone",
    "test_measure_sweep",
    "test_measure_toggle",
];

/// Installs what the system lacks, and what the judges are made of.
pub fn prepare() -> Result<()> {
    packages::need()?;
    python().map(drop)
}

/// Has the program and the plugin judged; the tables of ngspice are made anew by the tests in Rust (`tests/rust/ngspice.rs`).
pub fn run(_: &Options) -> Result<()> {
    let (python, built) = (python()?, Built::for_tests());
    let (take, _) = demo::recorded_in(&paths::target().join("judged"))?;
    let first = FIRST.map(|name| format!("tests/python/{name}.py"));
    // One more than there are cores, since some wait for sound or a browser.
    let beside = std::thread::available_parallelism()?.get() + 1;
    shell::run(
        shell::command(&python)
            // Side by side, a file at a time: what its tests share is made once.
            .args(["-m", "pytest", "-q", "--dist", "loadfile", "--no-loadscope-reorder", "--durations", "10"])
            .args(["-n", &beside.to_string()])
            .args(first)
            .arg("tests/python")
            .env("FIRSTJACK", built.path())
            .env("FIRSTJACK_GUIDE", guide::make()?)
            .env("FIRSTJACK_TAKE", take)
            .env("FIRSTJACK_VST3", built.vst3()),
    )
}

/// A Python of the project's own with the judges' packages, made once.
fn python() -> Result<PathBuf> {
    let venv = paths::target().join("judges");
    let python = venv.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    if !python.exists() {
        shell::run(shell::command("python3").args(["-m", "venv"]).arg(&venv))?;
    }
    let requirements = ["-m", "pip", "install", "--quiet", "-r", "tests/python/requirements.txt"];
    shell::run(shell::command(&python).args(requirements))?;
    Ok(python)
}
