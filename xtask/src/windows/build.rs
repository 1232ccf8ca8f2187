//! What is released for Windows, and what of Windows it asks for.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};

use super::{cargo, folder, toolchain};
use crate::shell;

/// Libraries of every Windows from version 10 on, besides the sets that begin with `api-ms-win-core-`.
const OF_WINDOWS: [&str; 18] = [
    "advapi32.dll",
    "bcryptprimitives.dll",
    "combase.dll",
    "gdi32.dll",
    "kernel32.dll",
    "mmdevapi.dll",
    "msvcrt.dll",
    "ntdll.dll",
    "ole32.dll",
    "oleaut32.dll",
    "opengl32.dll",
    "propsys.dll",
    "rpcrt4.dll",
    "shell32.dll",
    "user32.dll",
    "userenv.dll",
    "winmm.dll",
    "ws2_32.dll",
];

/// Builds for release and lays out the program and the bundles; gives the folder that has `firstjack.exe`, `Firstjack.clap` and
/// `Firstjack.vst3`.
pub fn release() -> Result<PathBuf> {
    super::set_up()?;
    let packages = ["--package", "firstjack", "--package", "firstjack-plugin"];
    let features = ["--features", "firstjack/sound"];
    shell::run(cargo().args(["build", "--release", "--locked"]).args(packages).args(features))?;
    lay_out(&toolchain::built("release"), &folder().join("release"))
}

/// Copies a build's program and plugin, as they lie in their standards' bundles: CLAP's is one file, VST3's a folder with one for
/// each architecture.
pub fn lay_out(built: &Path, to: &Path) -> Result<PathBuf> {
    let plugin = built.join("firstjack_plugin.dll");
    for (from, name) in [
        (&built.join("firstjack.exe"), "firstjack.exe"),
        (&plugin, "Firstjack.clap"),
        (&plugin, "Firstjack.vst3/Contents/x86_64-win/Firstjack.vst3"),
    ] {
        needs_only_windows(from)?;
        let file = to.join(name);
        fs::create_dir_all(file.parent().context("a bundle lies in a folder")?)?;
        let bytes = fs::copy(from, &file)?;
        println!("{}: {bytes} bytes", file.display());
    }
    Ok(to.to_owned())
}

/// Refuses a program or a plugin that would need more than Windows: a runtime of the compiler's, for example.
fn needs_only_windows(file: &Path) -> Result<()> {
    let dump = shell::command("x86_64-w64-mingw32-objdump").arg("--private-headers").arg(file).output()?;
    let dump = String::from_utf8_lossy(&dump.stdout).to_lowercase();
    let mut libraries = dump.lines().filter_map(|line| line.trim().strip_prefix("dll name: ")).peekable();
    ensure!(libraries.peek().is_some(), "{} needs no library: objdump has not read it", file.display());
    for library in libraries {
        let is_known = OF_WINDOWS.contains(&library) || library.starts_with("api-ms-win-core-");
        ensure!(is_known, "{} needs {library}, which is not known to be part of Windows", file.display());
    }
    Ok(())
}
