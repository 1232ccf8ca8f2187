//! What the program writes on Windows is, to the byte, what it writes here: sounds, pictures and papers. Figures that are told may differ in
//! their last digits, which are the C library's.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, ensure};
use serde_json::Value;

use super::folder;
use crate::built::Built;
use crate::{demo, paths};

const SETUPS: &str = "courtyard.toml";
const PAGE: &str = "page.html";
const JSON: &str = "what is said as JSON";

/// The part of a figure that may differ.
const NEAR: f64 = 1e-12;

/// Renderings, pictures, a crew note and a page with sounds, and figures as JSON.
const RUNS: [&[&str]; 5] = [
    &["tell", "--setups", SETUPS, "--json"],
    &["render", "take.wav", "--setups", SETUPS, "--from", "0:01", "--length", "4", "-o", "rendered"],
    &["curve", "--setups", SETUPS, "-o", "curves.svg"],
    &["curve", "--setups", SETUPS, "-o", "curves.png"],
    &[
        "pack", "take.wav", "--setups", SETUPS, "--order", "3", "--length", "4", "--note", "note.pdf", "-o",
        PAGE,
    ],
];

/// Runs the program of this system and the one for Windows, and compares all that they have written.
pub fn check(here: &Built, windows: &Built) -> Result<()> {
    let one = written(&folder().join("same/here"), &|| here.program())?;
    let other = written(&folder().join("same/windows"), &|| windows.program())?;
    let names = |all: &BTreeMap<OsString, Vec<u8>>| all.keys().cloned().collect::<Vec<_>>();
    ensure!(names(&one) == names(&other), "written here: {:?}; by wine: {:?}", names(&one), names(&other));
    ensure!(one.len() > RUNS.len(), "too few files are compared: {:?}", names(&one));
    for (name, bytes) in &one {
        let is_same = match name.to_str() {
            Some(JSON) => is_near(&serde_json::from_slice(bytes)?, &serde_json::from_slice(&other[name])?),
            Some(PAGE) => without_figures(bytes).eq(without_figures(&other[name])),
            _ => other[name] == *bytes,
        };
        ensure!(is_same, "{} is not the same on Windows", name.display());
        println!("the same {} bytes on Windows: {}", bytes.len(), name.display());
    }
    Ok(())
}

/// The same but for the last digits of numbers.
fn is_near(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap_or(f64::NAN), other.as_f64().unwrap_or(f64::NAN));
            (one - other).abs() <= NEAR * one.abs().max(1.0)
        }
        (Value::Array(one), Value::Array(other)) => {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| is_near(one, other))
        }
        (Value::Object(one), Value::Object(other)) => {
            one.len() == other.len()
                && one.iter().all(|(key, one)| other.get(key).is_some_and(|other| is_near(one, other)))
        }
        _ => one == other,
    }
}

/// The lines of a page but for the one of its figures, part of which is sealed.
fn without_figures(page: &[u8]) -> impl Iterator<Item = &[u8]> {
    let is_figures = |line: &&[u8]| line.starts_with(b"<script type=\"application/json\" id=\"data\">");
    page.split(|byte| *byte == b'\n').filter(move |line| !is_figures(line))
}

/// All that a program writes into a folder, and what it says as JSON.
fn written(folder: &Path, program: &dyn Fn() -> Command) -> Result<BTreeMap<OsString, Vec<u8>>> {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    fs::create_dir_all(folder)?;
    fs::copy(paths::preset(SETUPS), folder.join(SETUPS))?;
    demo::write(&folder.join("take.wav"), &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let mut all = BTreeMap::new();
    for arguments in RUNS {
        let mut command = program();
        let output = command.args(arguments).current_dir(folder).stderr(Stdio::inherit()).output()?;
        ensure!(output.status.success(), "{command:?} failed ({})", output.status);
        if arguments.contains(&"--json") {
            all.insert(JSON.into(), output.stdout);
        }
    }
    let entries = |folder: PathBuf| fs::read_dir(&folder).with_context(|| folder.display().to_string());
    for entry in entries(folder.to_owned())?.chain(entries(folder.join("rendered"))?) {
        let entry = entry?;
        if entry.path().is_file() {
            all.insert(entry.file_name(), fs::read(entry.path())?);
        }
    }
    Ok(all)
}
