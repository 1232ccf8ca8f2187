//! The tests in Rust: with `cargo nextest` where it is there, a process a test, so that tests that wait leave their core to others.

use std::fs;
use std::process::Command;

use anyhow::Result;

use super::lints::WHOLE;
use super::{Options, changed};
use crate::{paths, shell};

/// What says of the features: all that the program without window and sound does otherwise than with them.
const PLAIN: [&str; 5] = ["bad_input::", "guided::", "help::", "setups::", "standalone::"];

/// The program without window and sound, with whatever else the workspace has left as the other tests have it.
pub fn plain() -> Result<()> {
    shell::run(cargo("test").args(["--workspace", "--locked", "--test", "program", "--"]).args(PLAIN))
}

/// All tests; or, where it is to be quick, those of what has changed, without those of windows.
pub fn run(options: &Options) -> Result<()> {
    let has_nextest =
        shell::cargo().args(["nextest", "--version"]).output().is_ok_and(|output| output.status.success());
    if !has_nextest {
        let which: &[&str] = if options.quick { &["--lib", "--bins"] } else { &[] };
        return shell::run(cargo("test").arg("--no-fail-fast").args(WHOLE).args(which));
    }
    let changed: Vec<String> =
        changed::packages().into_iter().map(|package| format!("package(={package})")).collect();
    let changed = if changed.is_empty() { "package(=dsp-core)".to_owned() } else { changed.join(" + ") };
    let order = paths::target().join("test/order.toml");
    fs::create_dir_all(paths::target().join("test"))?;
    fs::write(&order, format!("[[profile.default.overrides]]\nfilter = '{changed}'\npriority = 50\n"))?;
    let mut command = cargo("nextest");
    command
        .args(["run", "--no-fail-fast", "--status-level", "slow", "--final-status-level", "slow"])
        .args(WHOLE);
    command.arg("--tool-config-file").arg(format!("order:{}", order.display()));
    if options.quick {
        return shell::run(command.args(["-E", &format!("({changed}) - group(windows)")]));
    }
    shell::run(&mut command)?;
    shell::run(cargo("test").arg("--doc").args(WHOLE))
}

/// Cargo without what a person leaves out by themselves (`tests/rust/needs.rs`).
fn cargo(subcommand: &str) -> Command {
    let mut command = shell::cargo();
    command.arg(subcommand).env_remove("FIRSTJACK_WITHOUT");
    command
}
