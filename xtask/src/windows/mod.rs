//! Firstjack for Windows: cross-built with Debian's packages, tested under wine.
//!
//! `cargo xtask windows` does it all. `cargo xtask windows -- test -p dsp-core` is one run of cargo (`test -p dsp-core`) with that
//! toolchain, which it first sets up where it is not there; what is built lies in `target/windows/build/x86_64-pc-windows-gnu`.

mod build;
mod deadline;
mod same;
mod system;
mod tests;
mod toolchain;
mod window;
mod wine;

use std::ffi::OsString;
use std::path::PathBuf;

use anyhow::Result;

use crate::built::Built;
use crate::{paths, release as here, shell};
pub use build::release;
use deadline::Deadline;
pub use wine::{command as wine, own_folder};

const TARGET: &str = "x86_64-pc-windows-gnu";

/// How long setting up may take.
const MINUTES: u64 = 10;

/// Sets up, tests, and builds for release; or runs cargo with these arguments.
pub fn run(arguments: &[OsString]) -> Result<()> {
    set_up()?;
    if !arguments.is_empty() {
        return shell::run(cargo().args(arguments));
    }
    here::build("firstjack/window", None)?;
    test(&Built::for_release(), true)?;
    release()?;
    Ok(())
}

/// Tests wherever the system allows: where it does not, that is told, and no failure. `here` is built for this system.
pub fn check(here: &Built) -> Result<()> {
    if let Err(error) = set_up() {
        println!("\n!!!!!!!! Windows was not tested: {error:#}\n");
        return Ok(());
    }
    test(here, false)
}

/// Tests by wine, all or those that are not long, of one build.
fn test(here: &Built, all: bool) -> Result<()> {
    tests::run(all)?;
    let windows = Built::for_windows(build::lay_out(&toolchain::built("debug"), &folder().join("tested"))?);
    same::check(here, &windows)?;
    window::check(&windows)
}

/// A run of cargo that builds for Windows, and tests under wine.
fn cargo() -> std::process::Command {
    let mut cargo = toolchain::cargo();
    wine::runs(&mut cargo);
    cargo
}

/// The toolchain and wine, kept for the next time.
pub fn set_up() -> Result<()> {
    let deadline = Deadline::minutes(MINUTES);
    system::need(&toolchain::code_generator()?, deadline)?;
    std::thread::scope(|scope| {
        let wine = scope.spawn(|| wine::make(deadline));
        toolchain::make(deadline)?;
        wine.join().expect("setting up does not panic")
    })
}

/// Where all of it lies.
fn folder() -> PathBuf {
    paths::target().join("windows")
}
