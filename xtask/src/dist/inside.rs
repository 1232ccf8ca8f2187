//! What is inside: every crate and font with its version and licence, by `cargo-about`.

use std::fmt::Write as _;
use std::fs;

use anyhow::{Context, Result, ensure};
use cargo_metadata::{CargoOpt, MetadataCommand};

use crate::{paths, shell};

const ABOUT: &str = "0.9.3";

/// Crates that every program has besides those that are fetched.
const HEAD: &str = "\
Firstjack is under either of the MIT licence or the Apache License, Version 2.0; see LICENSE.
It is made of the crates below, of Rust's standard library (MIT or Apache-2.0, and what that is made of, at your option;
its texts are among those below), and of fonts. Each text says which crates it is of.
";

/// The text of all licences.
pub fn licences() -> Result<String> {
    let tools = paths::target().join("tools");
    let about = tools.join("bin/cargo-about");
    if !shell::command(&about).arg("--version").output().is_ok_and(|said| says(&said.stdout)) {
        let install =
            ["install", "cargo-about", "--version", ABOUT, "--features", "cli", "--locked", "--root"];
        shell::run(shell::cargo().args(install).arg(&tools))?;
    }
    let template = paths::root().join("xtask/src/dist/files/licences.hbs");
    let made = shell::command(&about)
        .args([
            "generate",
            "--manifest-path",
            "program/Cargo.toml",
            "--features",
            "sound",
            "--fail",
            "--offline",
        ])
        .arg(template)
        .output()?;
    ensure!(made.status.success(), "cargo-about failed: {}", String::from_utf8_lossy(&made.stderr));
    let mut text = HEAD.to_owned();
    text.push_str(&String::from_utf8(made.stdout)?);
    text.push_str(&fonts()?);
    Ok(text)
}

fn says(version: &[u8]) -> bool {
    String::from_utf8_lossy(version).trim().ends_with(ABOUT)
}

/// What is said of the fonts where they lie: ours, and those of the window's toolkit.
fn fonts() -> Result<String> {
    let metadata = MetadataCommand::new()
        .manifest_path(paths::root().join("Cargo.toml"))
        .features(CargoOpt::AllFeatures)
        .other_options(["--locked".to_owned(), "--offline".to_owned()])
        .exec()?;
    let mut folders = vec![paths::root().join("looks/fonts")];
    let of_toolkit = metadata.packages.iter().filter(|package| package.name == "epaint_default_fonts");
    folders
        .extend(of_toolkit.filter_map(|package| Some(package.manifest_path.parent()?.join("fonts").into())));
    ensure!(folders.len() > 1, "the toolkit has no fonts any more");
    let mut told = String::new();
    for folder in folders {
        let entries = fs::read_dir(&folder).with_context(|| format!("{} is missing", folder.display()))?;
        let mut texts = entries.map(|entry| Ok(entry?.path())).collect::<Result<Vec<_>>>()?;
        texts.retain(|path| path.extension().is_some_and(|ending| ending == "txt"));
        texts.sort();
        ensure!(!texts.is_empty(), "the fonts in {} have no licence", folder.display());
        for path in texts {
            let name = path.file_stem().unwrap_or_default().display();
            let text = fs::read_to_string(&path)?;
            let _ = write!(told, "{}\nFonts: {name}\n\n{text}\n", "=".repeat(80));
        }
    }
    Ok(told)
}
