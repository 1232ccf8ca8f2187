//! The tests in Rust: with `cargo nextest` where it is there, a process a test, so that tests that wait leave their core to others.

use std::fs;
use std::process::Command;

use anyhow::Result;
use cargo_metadata::{Package, Target};

use super::lints::WHOLE;
use super::{Options, changed};
use crate::{paths, shell};

/// What says of the features: all that the program without window and sound does otherwise than with them.
const PLAIN: [&str; 5] = ["bad_input::", "guided::", "help::", "setups::", "standalone::"];

/// The program without window and sound, with whatever else the workspace has left as the other tests have it. It computes nothing there, so that to
/// optimise it would take longer than it saves.
pub fn plain() -> Result<()> {
    let quickly = ["--config", "profile.dev.package.firstjack.opt-level=0"];
    let tests = ["--workspace", "--locked", "--test", "program", "--"];
    shell::run(cargo("test").args(quickly).args(tests).args(PLAIN))
}

/// Test programs that open windows and wait for their frames.
const WINDOWS: [&str; 3] = ["frame", "together", "vst3_window"];

/// One that counts threads as each window closes, where those that are about to end must not wait for a core.
const ALONE: &str = "editor_host";

/// The test of windows that stands nothing beside it.
pub fn alone() -> Result<()> {
    shell::run(cargo("test").args(WHOLE).args(["--test", ALONE]))
}

/// The other tests of windows, one after the other.
pub fn windows() -> Result<()> {
    let targets = WINDOWS.into_iter().flat_map(|name| ["--test", name]);
    shell::run(cargo("test").arg("--no-fail-fast").args(WHOLE).args(targets))
}

/// All others; or, where it is to be quick, those of the packages that have changed.
pub fn run(options: &Options) -> Result<()> {
    let (packages, changed) = (changed::workspace()?, changed::packages()?);
    let targets = targets(if options.quick { &changed } else { &packages });
    if targets.is_empty() {
        println!("nothing that is tested has changed");
        return Ok(());
    }
    if !shell::cargo().args(["nextest", "--version"]).output().is_ok_and(|output| output.status.success()) {
        shell::run(cargo("test").arg("--no-fail-fast").args(WHOLE).args(targets))?;
    } else {
        nextest(options, &changed, &targets)?;
    }
    if options.quick { Ok(()) } else { shell::run(cargo("test").arg("--doc").args(WHOLE)) }
}

/// Those of what has changed before the others.
fn nextest(options: &Options, changed: &[Package], targets: &[String]) -> Result<()> {
    let names: Vec<String> = changed.iter().map(|package| format!("package(={})", package.name)).collect();
    let filter = if names.is_empty() { "none()".to_owned() } else { names.join(" + ") };
    let order = paths::target().join("test/order.toml");
    fs::create_dir_all(paths::target().join("test"))?;
    fs::write(&order, format!("[[profile.default.overrides]]\nfilter = '{filter}'\npriority = 50\n"))?;
    let mut command = cargo("nextest");
    command
        .args(["run", "--no-fail-fast", "--status-level", "slow", "--final-status-level", "slow"])
        .args(WHOLE);
    command.arg("--tool-config-file").arg(format!("order:{}", order.display())).args(targets);
    if options.quick {
        command.args(["--filterset", &filter, "--no-tests", "pass"]);
    }
    shell::run(&mut command)
}

/// What cargo is to build for the tests of these packages; to leave out another package would be another set of features. Of libraries and programs
/// it is all or none.
fn targets(packages: &[Package]) -> Vec<String> {
    let tested: Vec<&Target> =
        packages.iter().flat_map(|package| &package.targets).filter(|target| target.test).collect();
    let libraries = tested.iter().any(|target| target.is_lib() || target.is_cdylib()).then_some("--lib");
    let programs = tested.iter().any(|target| target.is_bin()).then_some("--bins");
    let of_windows = |name: &str| name == ALONE || WINDOWS.contains(&name);
    let tests = tested.iter().filter(|target| target.is_test() && !of_windows(&target.name));
    let named = tests.flat_map(|target| ["--test", &target.name]);
    libraries.into_iter().chain(programs).chain(named).map(str::to_owned).collect()
}

/// Cargo without what a person leaves out by themselves (`tests/rust/needs.rs`).
fn cargo(subcommand: &str) -> Command {
    let mut command = shell::cargo();
    command.arg(subcommand).env_remove("FIRSTJACK_WITHOUT");
    command
}
