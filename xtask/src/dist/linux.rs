//! Builds for Linux that run on systems of 2020 and later: `zig` links against the C library of that time, and what is found at run time
//! is not linked with at all.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};

use super::binary::{self, NEWEST_GLIBC, Needs};
use super::contents::Linux;
use crate::{paths, shell};

const TARGET: &str = "x86_64-unknown-linux-gnu";

/// Libraries that builds ask pkg-config for, and that `libraries` loads: nothing is linked for them.
const LOADED: [&str; 2] = ["alsa", "jack"];

/// Builds program and plugin into a folder, and has them say the rest.
pub fn build(into: &Path) -> Result<Linux> {
    ensure!(
        cfg!(all(target_os = "linux", target_arch = "x86_64")),
        "archives for Linux are built on Linux on x86_64"
    );
    let tools = tools()?;
    let hidden = Hidden::new(into)?;
    let mut build = shell::command(tools.join("bin/cargo-zigbuild"));
    let (major, minor) = NEWEST_GLIBC;
    build.args(["zigbuild", "--release", "--locked", "--target", &format!("{TARGET}.{major}.{minor}")]);
    build.args(["--package", "firstjack", "--package", "firstjack-plugin", "--features", "firstjack/sound"]);
    build.arg("--target-dir").arg(into).env("PATH", path_with(&tools.join("bin"))?);
    for (name, folder) in [("CARGO_ZIGBUILD_CACHE_DIR", "zigbuild"), ("ZIG_GLOBAL_CACHE_DIR", "zig-cache")] {
        build.env(name, paths::target().join("tools").join(folder));
    }
    build.env("PKG_CONFIG_LIBDIR", packages()?).env("PKG_CONFIG_PATH", "");
    build.env("CARGO_ENCODED_RUSTFLAGS", hidden.flags()).env_remove("RUSTFLAGS");
    shell::run(&mut build)?;
    let program = built(into).join("firstjack");
    let said = |arguments: &[&str]| said(&program, arguments);
    Ok(Linux {
        manual: said(&["man"])?,
        bash: said(&["completions", "bash"])?,
        zsh: said(&["completions", "zsh"])?,
        fish: said(&["completions", "fish"])?,
        program: checked(&program, &hidden)?,
        plugin: checked(&plugin(into), &hidden)?,
    })
}

/// The plugin that was built into a folder; its bundles are copies of it.
pub fn plugin(into: &Path) -> PathBuf {
    built(into).join("libfirstjack_plugin.so")
}

fn built(into: &Path) -> PathBuf {
    into.join(TARGET).join("release")
}

/// A linker with headers and symbols of C libraries of all times, in a Python environment of its own, by the checksums of its packages.
fn tools() -> Result<PathBuf> {
    let tools = paths::target().join("tools/zig");
    if !tools.join("bin/pip").exists() {
        shell::run(shell::command("python3").args(["-m", "venv"]).arg(&tools))?;
    }
    let list = paths::root().join("xtask/src/dist/files/zig.txt");
    let install = ["install", "--quiet", "--no-deps", "--require-hashes", "--requirement"];
    shell::run(shell::command(tools.join("bin/pip")).args(install).arg(list))?;
    Ok(tools)
}

/// With a folder before those that are searched for programs.
fn path_with(folder: &Path) -> Result<OsString> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    Ok(std::env::join_paths([folder.to_owned()].into_iter().chain(std::env::split_paths(&path)))?)
}

/// A folder in which pkg-config finds these libraries, with nothing to link.
fn packages() -> Result<PathBuf> {
    let folder = paths::target().join("tools/pkgconfig");
    fs::create_dir_all(&folder)?;
    for name in LOADED {
        let text = format!("Name: {name}\nDescription: loaded when it is needed\nVersion: 1.2.4\n");
        fs::write(folder.join(name).with_extension("pc"), text)?;
    }
    Ok(folder)
}

/// Folders of this machine, which nobody who gets a build has to do with.
struct Hidden {
    /// With what is told in their place.
    folders: Vec<(PathBuf, &'static str)>,
}

impl Hidden {
    fn new(into: &Path) -> Result<Self> {
        let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
        let home = home.or_else(|| Some(PathBuf::from(std::env::var_os("HOME")?).join(".cargo")));
        let home = home.context("neither CARGO_HOME nor HOME is set")?;
        let sysroot = said(Path::new("rustc"), &["--print", "sysroot"])?;
        let mut folders =
            vec![(paths::root(), "/firstjack"), (home, "/cargo"), (PathBuf::from(sysroot.trim()), "/rust")];
        if !into.starts_with(paths::root()) {
            folders.push((into.to_owned(), "/firstjack/target"));
        }
        Ok(Self { folders })
    }

    fn flags(&self) -> OsString {
        let mut flags = OsString::new();
        for (folder, shown) in &self.folders {
            if !flags.is_empty() {
                flags.push("\u{1f}");
            }
            flags.push("--remap-path-prefix=");
            flags.push(folder);
            flags.push("=");
            flags.push(shown);
        }
        flags
    }
}

/// What was built, if it asks for nothing that is not everywhere, and does not tell where it was built.
fn checked(path: &Path, hidden: &Hidden) -> Result<Vec<u8>> {
    let bytes = fs::read(path).with_context(|| format!("{} was not built", path.display()))?;
    let needs = Needs::of(&bytes).with_context(|| path.display().to_string())?;
    needs.check().with_context(|| path.display().to_string())?;
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let folders = hidden.folders.iter().map(|(folder, _)| folder.as_path()).chain(home.as_deref());
    binary::tells_nothing_of(&bytes, &folders.collect::<Vec<_>>())
        .with_context(|| path.display().to_string())?;
    let (major, minor) = needs.glibc().unwrap_or_default();
    let name = path.file_name().unwrap_or_default().display();
    println!(
        "{name}: {} bytes, glibc {major}.{minor}, linked with {}",
        bytes.len(),
        needs.libraries.join(" ")
    );
    Ok(bytes)
}

/// What a program writes.
fn said(program: &Path, arguments: &[&str]) -> Result<String> {
    let output = Command::new(program).args(arguments).output();
    let output = output.with_context(|| format!("cannot start {}", program.display()))?;
    ensure!(
        output.status.success() && !output.stdout.is_empty(),
        "{} {} failed",
        program.display(),
        arguments.join(" ")
    );
    Ok(String::from_utf8(output.stdout)?)
}
