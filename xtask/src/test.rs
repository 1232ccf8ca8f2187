//! Everything that must hold, from the cheapest check to the dearest.

use std::path::PathBuf;

use anyhow::Result;

use crate::{bundle, demo, guide, licences, packages, paths, screenshots, shell};

/// Runs all checks and stops at the first that fails.
pub fn run() -> Result<()> {
    step("format");
    shell::run(shell::cargo().args(["fmt", "--all", "--check"]))?;
    step("licences");
    licences::check()?;
    let patches = ["vendor/nice-plug.patch", "vendor/baseview.patch"];
    shell::run(shell::command("git").args(["apply", "--reverse", "--check"]).args(patches))?;
    step("what the system must have");
    packages::need()?;
    step("lints");
    shell::run(shell::cargo().args([
        "clippy",
        "--workspace",
        "--all-targets",
        "--locked",
        "--",
        "-D",
        "warnings",
    ]))?;
    for features in ["window", "sound"] {
        shell::run(shell::cargo().args([
            "clippy",
            "--package",
            "firstjack",
            "--features",
            features,
            "--all-targets",
            "--locked",
            "--",
            "-D",
            "warnings",
        ]))?;
    }
    step("documentation");
    shell::run(
        shell::cargo()
            .args(["doc", "--workspace", "--no-deps", "--locked"])
            .env("RUSTDOCFLAGS", "-D warnings"),
    )?;
    let python = python()?;
    step("tests");
    // Whatever a person leaves out by themselves (`tests/rust/needs.rs`).
    let tests = || {
        let mut command = shell::cargo();
        command.env_remove("FIRSTJACK_WITHOUT");
        command
    };
    shell::run(tests().args(["test", "--workspace", "--locked"]))?;
    // The program's once more with the windows of `open` and `live`, which take the place of refusals. Not by its package: that would be
    // another set of features for what it depends on, which would be built again.
    let of_program = ["--bin", "firstjack", "--test", "program", "--test", "memory"];
    let with_sound = ["test", "--workspace", "--features", "firstjack/sound", "--locked"];
    shell::run(tests().args(with_sound).args(of_program))?;
    step("demo, and the plugin in a CLAP host");
    demo::run()?;
    step("pictures of a real window");
    screenshots::run(false)?;
    step("outside judges: ngspice, scipy, a VST3 host, a browser");
    shell::run(shell::command(&python).args(["tests/reference/make_tables.py", "--check"]))?;
    shell::run(
        shell::command(&python)
            // Side by side, a file at a time: what its tests share is made once.
            .args(["-m", "pytest", "-q", "-n", "auto", "--dist", "loadfile", "tests/python"])
            .env("FIRSTJACK", paths::program())
            .env("FIRSTJACK_GUIDE", guide::make()?)
            .env("FIRSTJACK_VST3", bundle::folder().join("Firstjack.vst3")),
    )?;
    println!("\nall checks hold");
    Ok(())
}

fn step(name: &str) {
    println!("\n== {name}");
}

/// A Python of the project's own with the judges' packages, made once.
fn python() -> Result<PathBuf> {
    let venv = paths::target().join("judges");
    let python = venv.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    if !python.exists() {
        shell::run(shell::command("python3").args(["-m", "venv"]).arg(&venv))?;
    }
    shell::run(shell::command(&python).args([
        "-m",
        "pip",
        "install",
        "--quiet",
        "-r",
        "tests/python/requirements.txt",
    ]))?;
    Ok(python)
}
