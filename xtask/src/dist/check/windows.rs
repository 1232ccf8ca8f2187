//! The archive for Windows, installed, used and removed by wine.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Output;

use anyhow::{Context, Result, ensure};
use zip::ZipArchive;

use crate::{paths, windows};

/// A preset that a person changes, one of their own, and where the first goes when a new one comes.
const CHANGED: &str = "presets/passive.toml";
const OWN: &str = "presets/ours.toml";
const KEPT: &str = "presets/passive.toml.old";

/// Checks what is in an archive.
pub fn run(archive: &Path, top: &str) -> Result<()> {
    let folder = paths::target().join("windows/installed");
    let _ = fs::remove_dir_all(&folder);
    ZipArchive::new(File::open(archive)?)?.extract(&folder)?;
    let unpacked = folder.join(top);
    let programs = windows::own_folder()?.join("Programs");
    let (own, common) = (programs.join("Firstjack"), programs.join("Common"));
    for old in [&own, &common] {
        let _ = fs::remove_dir_all(old);
    }
    let said = done(&script(&unpacked.join("install.cmd"))?)?;
    ensure!(said.contains("Firstjack is installed:"), "install.cmd says {said}");
    let packed = fs::read(unpacked.join("Firstjack.vst3/Contents/x86_64-win/Firstjack.vst3"))?;
    for plugin in ["CLAP/Firstjack.clap", "VST3/Firstjack.vst3/Contents/x86_64-win/Firstjack.vst3"] {
        ensure!(
            fs::read(common.join(plugin)).ok().as_ref() == Some(&packed),
            "{plugin} is not what was packed"
        );
    }
    let mut tell = windows::wine(own.join("firstjack.exe"));
    let told = done(&tell.args(["tell", "--setups", "presets/courtyard.toml"]).current_dir(&own).output()?)?;
    ensure!(told.contains("low A loses 13 dB through the tuner"), "tell says something else: {told}");
    again(&unpacked, &own)?;
    done(&script(&own.join("uninstall.cmd"))?)?;
    let left = files(&own)?;
    ensure!(left == [own.join(OWN), own.join(CHANGED), own.join(KEPT)], "uninstall leaves {left:?}");
    ensure!(files(&common)?.is_empty(), "uninstall leaves {:?}", files(&common)?);
    let said = script(&unpacked.join("uninstall.cmd")).map(|output| output.status.success())?;
    ensure!(!said, "uninstall of nothing says that it has uninstalled");
    fs::remove_dir_all(own)?;
    println!("dist: the archive for Windows was installed, used and removed by wine");
    Ok(())
}

/// Once more over what a person has changed.
fn again(unpacked: &Path, own: &Path) -> Result<()> {
    let ours = "# ours\n";
    for preset in [CHANGED, OWN] {
        fs::write(own.join(preset), ours)?;
    }
    done(&script(&unpacked.join("install.cmd"))?)?;
    for preset in [KEPT, OWN] {
        ensure!(fs::read_to_string(own.join(preset))? == ours, "{preset} is not what was changed");
    }
    ensure!(
        fs::read(own.join(CHANGED))? == fs::read(unpacked.join(CHANGED))?,
        "{CHANGED} is not the new one"
    );
    let old = files(own)?.into_iter().filter(|file| file.extension().is_some_and(|end| end == "old")).count();
    ensure!(old == 1, "{old} presets are told as changed");
    fs::write(own.join(CHANGED), ours)?;
    Ok(())
}

fn script(file: &Path) -> Result<Output> {
    let mut command = windows::wine("cmd");
    command.arg("/c").arg(file).env("FIRSTJACK_QUIET", "1");
    command.output().with_context(|| format!("cannot run {}", file.display()))
}

fn done(output: &Output) -> Result<String> {
    let said = [&output.stdout[..], &output.stderr[..]].map(String::from_utf8_lossy).concat();
    ensure!(output.status.success(), "it failed ({}): {said}", output.status);
    Ok(said)
}

/// All files below a folder, in order.
fn files(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() { all.extend(files(&path)?) } else { all.push(path) }
    }
    all.sort();
    Ok(all)
}
