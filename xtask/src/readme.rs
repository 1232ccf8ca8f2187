//! What README.md shows is what the program says and draws.

use std::fs;

use anyhow::{Result, ensure};

use crate::built::Built;
use crate::{paths, shell};

/// Compares the table of verdicts and the picture with the program's.
pub fn check(built: &Built) -> Result<()> {
    let readme = fs::read_to_string(paths::root().join("README.md"))?;
    let setups = ["--setups", "presets/courtyard.toml"];
    let told = built.program().arg("tell").args(setups).output()?;
    let told = String::from_utf8(told.stdout)?;
    let verdicts: Vec<&str> = told.lines().filter(|line| line.starts_with("low ")).collect();
    ensure!(verdicts.len() == 6, "the courtyard has six verdicts, the program told {}", verdicts.len());
    for verdict in verdicts {
        ensure!(readme.contains(&format!("| {verdict} |")), "README.md lacks the verdict '{verdict}'");
    }
    let drawn = paths::target().join("demo/readme.svg");
    shell::run(built.program().arg("curve").args(setups).arg("--overwrite").arg("-o").arg(&drawn))?;
    let shown = paths::root().join("docs/courtyard.svg");
    ensure!(
        fs::read(&drawn)? == fs::read(&shown)?,
        "docs/courtyard.svg is not what the program draws; look at {} and copy it there if it is right",
        drawn.display()
    );
    println!("README.md shows what the program says and draws");
    Ok(())
}
