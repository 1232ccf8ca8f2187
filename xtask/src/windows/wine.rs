//! Windows without Windows: programs run by wine, in a prefix of the project's own.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result};

use super::deadline::Deadline;
use super::folder;
use crate::shell;

/// Where Debian's `wine64` has it; the name on the path is in another package.
const WINE: &str = "/usr/lib/wine/wine64";

/// Makes the prefix where it is not there.
pub fn make(deadline: Deadline) -> Result<()> {
    let system = prefix().join("drive_c/windows/system32");
    let random = system.join("bcryptprimitives.dll");
    if random.exists() {
        return Ok(());
    }
    println!("making a prefix for wine");
    let source = folder().join("bcryptprimitives.c");
    fs::create_dir_all(folder())?;
    fs::write(&source, include_str!("bcryptprimitives.c"))?;
    deadline.run(set(Command::new(WINE).args(["wineboot", "--init"])))?;
    let linker = ["-shared", "-O2", "-ladvapi32", "-o"];
    deadline.run(shell::command("x86_64-w64-mingw32-gcc").arg(source).args(linker).arg(random))
}

/// A run of a program for Windows.
pub fn command(program: impl AsRef<std::ffi::OsStr>) -> Command {
    let mut command = shell::command(WINE);
    set(&mut command);
    command.arg(program);
    command
}

/// Where programs keep what is a person's own, in folders of the system that this one is.
pub fn own_folder() -> Result<PathBuf> {
    let output = command("cmd").args(["/c", "echo %LOCALAPPDATA%"]).output()?;
    let said = String::from_utf8(output.stdout)?.trim().replace('\\', "/");
    let below = said.strip_prefix("C:/").with_context(|| format!("wine says of LOCALAPPDATA '{said}'"))?;
    Ok(prefix().join("drive_c").join(below))
}

/// Lets cargo run what it has built.
pub fn runs(cargo: &mut Command) {
    let runner = format!("CARGO_TARGET_{}_RUNNER", super::TARGET.to_uppercase().replace('-', "_"));
    set(cargo).env(runner, WINE);
}

/// Quiet, and without what asks to be loaded from the net.
fn set(command: &mut Command) -> &mut Command {
    let overrides = "mscoree,mshtml,winemenubuilder.exe=";
    command.env("WINEPREFIX", prefix()).env("WINEDEBUG", "-all").env("WINEDLLOVERRIDES", overrides)
}

fn prefix() -> PathBuf {
    folder().join("prefix")
}
