//! Firstjack for Windows: cross-built with Debian's packages, tested under wine.
//!
//! `cargo xtask windows` does it all. `cargo xtask windows -- test -p dsp-core` is one run of cargo (`test -p dsp-core`) with that
//! toolchain, which it first sets up where it is not there; what is built lies in `target/windows/build/x86_64-pc-windows-gnu`.

mod deadline;
mod system;
mod toolchain;
mod wine;

use std::ffi::OsString;
use std::path::PathBuf;

use anyhow::Result;

use crate::{paths, shell};
use deadline::Deadline;

const TARGET: &str = "x86_64-pc-windows-gnu";

/// How long setting up may take.
const MINUTES: u64 = 10;

/// Sets up, builds, tests and bundles; or runs cargo with these arguments.
pub fn run(arguments: &[OsString]) -> Result<()> {
    set_up()?;
    if !arguments.is_empty() {
        return shell::run(cargo().args(arguments));
    }
    Ok(())
}

/// A run of cargo that builds for Windows, and tests under wine.
fn cargo() -> std::process::Command {
    let mut cargo = toolchain::cargo();
    wine::runs(&mut cargo);
    cargo
}

/// The toolchain and wine, kept for the next time.
fn set_up() -> Result<()> {
    let deadline = Deadline::minutes(MINUTES);
    toolchain::make(deadline)?;
    wine::make(deadline)
}

/// Where all of it lies.
fn folder() -> PathBuf {
    paths::target().join("windows")
}
