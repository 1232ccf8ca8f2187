//! A compiler for Windows of Debian's packages: unpacked, not installed, since they conflict with other compilers.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};

use super::deadline::Deadline;
use super::{TARGET, folder, system};
use crate::{paths, shell};

/// The compiler before any other: what lies below is known not to compile all of the dependencies.
const LEAST: (u32, u32) = (1, 95);

/// The compiler finds its own libraries, wherever it lies.
const RUSTC: &str = r#"#!/bin/sh
usr=$(dirname "$(dirname "$(readlink -f "$0")")")/usr
LD_LIBRARY_PATH="$usr/lib/x86_64-linux-gnu${LD_LIBRARY_PATH:+:$LD_LIBRARY_PATH}" exec "$usr/bin/rustc" "$@"
"#;

/// A crate of nothing, for the standard library that it is built with.
const MANIFEST: &str = r#"[package]
name = "nothing"
version = "0.0.0"
edition = "2024"

[lib]
path = "lib.rs"

[profile.release]
debug = false

[workspace]
"#;

/// The package that has the code generator: it conflicts with nothing, and needs libraries of its own.
pub fn code_generator() -> Result<String> {
    system::dependency(&libraries()?, "libllvm")
}

/// Makes the toolchain, or leaves it where it is of the versions that are offered.
pub fn make(deadline: Deadline) -> Result<()> {
    let packages = packages()?;
    let versions: String = packages.iter().map(|(name, version)| format!("{name} {version}\n")).collect();
    let home = home();
    if fs::read_to_string(home.join("versions")).is_ok_and(|made| made == versions) {
        return Ok(());
    }
    println!("unpacking the compiler: {}", versions.trim().replace('\n', ", "));
    let part = folder().join("toolchain.part");
    for old in [&part, &home] {
        if old.exists() {
            fs::remove_dir_all(old)?;
        }
    }
    unpack(&packages, &part, deadline)?;
    println!("building the standard library for Windows");
    build_std(&part, deadline)?;
    fs::write(part.join("versions"), versions)?;
    fs::rename(part, home)?;
    Ok(())
}

/// A run of cargo for Windows: what it builds lies in `target/windows/build`.
pub fn cargo() -> Command {
    let mut cargo = shell::cargo();
    let variable = |name: &str| format!("CARGO_TARGET_{}_{name}", TARGET.to_uppercase().replace('-', "_"));
    cargo
        .env("RUSTC", home().join("bin/rustc"))
        .env("CARGO_BUILD_TARGET", TARGET)
        .env("CARGO_TARGET_DIR", folder().join("build"))
        .env("CARGO_INCREMENTAL", "0")
        .env(variable("LINKER"), "x86_64-w64-mingw32-gcc")
        .env(variable("RUSTFLAGS"), flags(&paths::root()))
        .env_remove("RUSTFLAGS");
    cargo
}

/// Where cargo puts what it builds of a profile.
pub fn built(profile: &str) -> PathBuf {
    folder().join("build").join(TARGET).join(profile)
}

fn home() -> PathBuf {
    folder().join("toolchain")
}

/// No time and no place of this machine in what is built.
fn flags(sources: &Path) -> String {
    format!("--remap-path-prefix={}=firstjack -Clink-arg=-Wl,--no-insert-timestamp", sources.display())
}

/// The package that has the compiler's libraries: its name says the version.
fn libraries() -> Result<String> {
    system::dependency("libstd-rust-web-dev", "libstd-rust-web-")
}

/// The packages with their versions.
fn packages() -> Result<Vec<(String, String)>> {
    let names = [&libraries()?, "libstd-rust-web-dev", "rust-web-src", "rustc-web"];
    let version = system::offered("rustc-web")?;
    let mut numbers = version.split('.').map_while(|number| number.parse::<u32>().ok());
    let offered = (numbers.next().unwrap_or(0), numbers.next().unwrap_or(0));
    ensure!(offered >= LEAST, "rustc-web is {version}; {}.{} is needed", LEAST.0, LEAST.1);
    names.into_iter().map(|name| Ok((name.to_owned(), system::offered(name)?))).collect()
}

fn unpack(packages: &[(String, String)], to: &Path, deadline: Deadline) -> Result<()> {
    let debs = folder().join("debs");
    fs::create_dir_all(&debs)?;
    let exact = packages.iter().map(|(name, version)| format!("{name}={version}"));
    deadline.run(
        shell::command("apt-get")
            .args(["download", "--quiet=2", "--option=APT::Sandbox::User=root"])
            .args(exact)
            .current_dir(&debs),
    )?;
    for deb in fs::read_dir(&debs)? {
        deadline.run(shell::command("dpkg-deb").arg("--extract").arg(deb?.path()).arg(to))?;
    }
    fs::remove_dir_all(debs)?;
    let rustc = to.join("bin/rustc");
    fs::create_dir_all(to.join("bin"))?;
    fs::write(&rustc, RUSTC)?;
    shell::run(shell::command("chmod").arg("+x").arg(rustc))
}

/// Builds the standard library once and puts it where the compiler looks for it, so that no build of the project does.
fn build_std(toolchain: &Path, deadline: Deadline) -> Result<()> {
    let work = folder().join("std");
    fs::create_dir_all(&work)?;
    fs::write(work.join("Cargo.toml"), MANIFEST)?;
    fs::write(work.join("lib.rs"), "#![no_std]\n")?;
    // With what link-time optimisation needs, which a plain build leaves out.
    let flags = format!("{} -Cembed-bitcode=yes", flags(toolchain));
    let cargo = ["build", "--quiet", "--release", "-Zbuild-std=std,panic_unwind,test", "--target", TARGET];
    deadline.run(
        shell::cargo()
            .args(cargo)
            .current_dir(&work)
            .env("RUSTC_BOOTSTRAP", "1")
            .env("RUSTC", toolchain.join("bin/rustc"))
            .env("CARGO_TARGET_DIR", work.join("target"))
            .env("RUSTFLAGS", flags),
    )?;
    let libraries = toolchain.join("usr/lib/rustlib").join(TARGET).join("lib");
    fs::create_dir_all(&libraries)?;
    let built = work.join("target").join(TARGET).join("release/deps");
    for file in fs::read_dir(&built).with_context(|| format!("cannot read {}", built.display()))? {
        let file = file?;
        let name = file.file_name().to_string_lossy().into_owned();
        if name.ends_with(".rlib") && !name.starts_with("libnothing") {
            fs::copy(file.path(), libraries.join(name))?;
        }
    }
    fs::remove_dir_all(work)?;
    Ok(())
}
