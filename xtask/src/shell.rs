//! Other programs: cargo, the program itself, judges.

use std::ffi::OsStr;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};

use crate::paths;

/// A command that starts in the workspace's folder.
pub fn command(program: impl AsRef<OsStr>) -> Command {
    let mut command = Command::new(program);
    command.current_dir(paths::root());
    command
}

/// The cargo that runs this.
pub fn cargo() -> Command {
    command(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Runs a command to its end and fails if it does.
pub fn run(command: &mut Command) -> Result<()> {
    let shown = format!("{command:?}");
    let status = command.status().with_context(|| format!("cannot start {shown}"))?;
    ensure!(status.success(), "{shown} failed ({status})");
    Ok(())
}

/// Whether a program is there.
pub fn has(program: &str) -> bool {
    Command::new(program).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok()
}
