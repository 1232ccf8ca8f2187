use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};

use crate::built::Built;
use crate::{demo, install, paths, release};

const PACKAGE: &str = "firstjack-plugin";
const BUNDLES: [&str; 2] = ["Firstjack.clap", "Firstjack.vst3"];

/// Largest size of one bundle in bytes, its window with fonts included. (Without a window it was to be 6 MiB, and was 2.6.)
const LIMIT_BYTES: u64 = 16 * 1024 * 1024;

/// Makes the bundles and looks at what was made, where it can run here: the plugin sounds as the program does. Then installs them if
/// asked to.
pub fn run(install: bool, target: Option<&str>) -> Result<()> {
    make(target)?;
    if target.is_none() {
        demo::agree(&Built::for_release())?;
    }
    if install {
        BUNDLES.iter().try_for_each(|name| install_bundle(&folder().join(name), name))?;
    }
    Ok(())
}

/// Builds the program with its window, and builds and bundles the plugin, for another system where one is given.
pub fn make(target: Option<&str>) -> Result<()> {
    // The bundler works in the folder that it finds itself in.
    std::env::set_current_dir(paths::root())?;
    release::build("firstjack/window", target)?;
    let target = target.map(|target| format!("--target={target}"));
    let arguments: Vec<String> = ["--release".to_owned()].into_iter().chain(target).collect();
    nice_plug_xtask::bundle(&paths::target(), PACKAGE, &arguments, false)?;
    for name in BUNDLES {
        let bundle = folder().join(name);
        let bytes = size(&bundle)?;
        println!("{}: {bytes} bytes", bundle.display());
        ensure!(bytes <= LIMIT_BYTES, "{name} is larger than {LIMIT_BYTES} bytes");
    }
    Ok(())
}

/// Bundles the plugin that was not built for release, in a folder that has it where cargo would have it.
pub fn of_debug(folder: &Path) -> Result<()> {
    std::env::set_current_dir(paths::root())?;
    nice_plug_xtask::bundle(folder, PACKAGE, &[], false)
}

/// Where the bundles are.
pub fn folder() -> PathBuf {
    paths::target().join("bundled")
}

fn size(path: &Path) -> Result<u64> {
    if path.is_file() {
        return Ok(path.metadata()?.len());
    }
    let entries = fs::read_dir(path).with_context(|| format!("{} is missing", path.display()))?;
    entries.map(|entry| size(&entry?.path())).sum()
}

fn install_bundle(bundle: &Path, name: &str) -> Result<()> {
    let vst3 = name.ends_with(".vst3");
    let variable = if cfg!(windows) { "LOCALAPPDATA" } else { "HOME" };
    let user = PathBuf::from(std::env::var_os(variable).with_context(|| format!("{variable} is not set"))?);
    let folder = user.join(match (cfg!(target_os = "macos"), cfg!(windows), vst3) {
        (true, _, true) => "Library/Audio/Plug-Ins/VST3",
        (true, _, false) => "Library/Audio/Plug-Ins/CLAP",
        (_, true, true) => "Programs/Common/VST3",
        (_, true, false) => "Programs/Common/CLAP",
        (_, _, true) => ".vst3",
        (_, _, false) => ".clap",
    });
    println!("installed {}", install::install(bundle, &folder)?.display());
    Ok(())
}
