//! One build for tests and judges. Debug assertions are on, and an allocation inside of the plugin's `process` ends it, so that judges who run it are
//! stricter than they could be with what is released; that is judged where it is made (`cargo xtask bundle`).

use std::env::consts::DLL_SUFFIX;
use std::fs;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use anyhow::{Context, Result, ensure};
use cargo_metadata::{Artifact, Message};

use super::lints::WHOLE;
use crate::built::Built;
use crate::{bundle, paths, shell};

/// Builds all tests, and puts aside the program and the plugin that they brought: other features take their places where cargo builds.
pub fn build() -> Result<()> {
    let (mut program, mut plugin) = (None, None);
    for artifact in artifacts()?.into_iter().filter(|artifact| !artifact.profile.test) {
        match artifact.target.name.as_str() {
            "firstjack" => program = program.or(artifact.executable.map(PathBuf::from)),
            "firstjack_plugin" => {
                let mut files = artifact.filenames.into_iter().map(PathBuf::from);
                plugin = plugin.or_else(|| files.find(|file| file.to_string_lossy().ends_with(DLL_SUFFIX)));
            }
            _ => {}
        }
    }
    copy(&program.context("the tests' build made no program")?, Built::for_tests().path())?;
    let plugin = plugin.context("the tests' build made no plugin")?;
    // Where the bundler looks for what was not built for release.
    let folder = paths::target().join("judged");
    copy(&plugin, &folder.join("debug").join(plugin.file_name().context("a file has a name")?))?;
    bundle::of_debug(&folder)
}

/// What cargo says of all that it has built.
fn artifacts() -> Result<Vec<Artifact>> {
    let mut command = shell::cargo();
    command.args(["test", "--no-run", "--message-format", "json-render-diagnostics"]).args(WHOLE);
    let mut process = command.stdout(Stdio::piped()).spawn().context("cannot start cargo")?;
    let said = process.stdout.take().context("cargo has no output")?;
    let mut artifacts = Vec::new();
    for message in Message::parse_stream(BufReader::new(said)) {
        if let Message::CompilerArtifact(artifact) = message? {
            artifacts.push(artifact);
        }
    }
    ensure!(process.wait()?.success(), "the tests were not built");
    Ok(artifacts)
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    fs::create_dir_all(to.parent().context("a file is in a folder")?)?;
    // Not over what may still run.
    let _ = fs::remove_file(to);
    fs::copy(from, to).with_context(|| format!("cannot copy {}", from.display()))?;
    Ok(())
}
