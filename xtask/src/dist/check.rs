//! What was packed, used as people use it in clean systems: installed, run with and without the libraries that it looks for, and removed.

mod root;
mod windows;

use std::path::Path;

use anyhow::{Result, ensure};

use super::release::VERSION;
use crate::display::Display;
use crate::host::Instance;
use crate::{demo, shell};
use root::Root;

/// Releases of Debian by the names that their archives have.
const SUITES: [&str; 2] = ["bullseye", "bookworm"];

/// What a window needs; the C library is all that a clean system has of it.
const WINDOW: &str = "libx11-6 libx11-xcb1 libxcb1 libxkbcommon0 libxkbcommon-x11-0 libgl1";

/// Checks what lies in a folder, and the plugin that it was made of.
pub fn run(dist: &Path, plugin: &Path) -> Result<()> {
    let is_root = shell::command("id").arg("-u").output().is_ok_and(|id| id.stdout == b"0\n");
    ensure!(is_root, "only root can make a clean system; run this as root, in a container for example");
    for tool in ["debootstrap", "lintian", "Xvfb"] {
        ensure!(shell::has(tool), "{tool} is missing; install it with your package manager");
    }
    let package = format!("firstjack_{VERSION}_amd64.deb");
    shell::run(
        shell::command("lintian").args(["--fail-on", "error", "--allow-root"]).arg(dist.join(&package)),
    )?;
    Instance::load(plugin, 48_000.0, 512)?;
    let top = format!("firstjack-{VERSION}-windows-x86_64");
    let for_windows = dist.join(format!("{top}.zip"));
    if for_windows.exists() {
        windows::run(&for_windows, &top)?;
    }
    let display = Display::new()?;
    for suite in SUITES {
        let root = Root::new(suite, &display)?;
        let top = format!("firstjack-{VERSION}-linux-x86_64");
        root.put(&dist.join(format!("{top}.tar.gz")))?;
        root.put(&dist.join(&package))?;
        demo::write(&root.path("tmp/take.wav"), &demo::recorded(f64::from(demo::RATE_HZ))?)?;
        archive(&root, &top)?;
        installed(&root, &package)?;
        println!("dist: archive and package were installed, used and removed in {suite}");
    }
    Ok(())
}

/// The archive, for a person without root: first without any of the libraries, then with those of windows.
fn archive(root: &Root, top: &str) -> Result<()> {
    root.does("useradd --create-home player")?;
    root.player_does(&format!("tar xf /tmp/{top}.tar.gz && {top}/install"))?;
    let setups = "--setups ~/.local/share/firstjack/presets/courtyard.toml";
    let told = root.player_does(&format!("firstjack tell {setups}"))?;
    ensure!(told.contains("low A loses 13 dB through the tuner"), "tell says something else: {told}");
    root.player_does(&format!(
        "firstjack render /tmp/take.wav {setups} -o versions && test -s versions/take*tuner.wav"
    ))?;
    for command in ["open /tmp/take.wav", "live"] {
        let said = root.player_is_refused(&format!("firstjack {command}"))?;
        let is_named = said.contains("libX11.so.6") && said.contains("apt-get install libx11-6");
        ensure!(is_named, "{command} does not name what is missing: {said}");
    }
    root.does(&format!(
        "apt-get update --quiet && apt-get install --yes --quiet --no-install-recommends {WINDOW}"
    ))?;
    root.player_does(&format!(
        "firstjack open /tmp/take.wav {setups} --screenshot window.png && test -s window.png"
    ))?;
    let said = root.player_is_refused("firstjack live")?;
    let is_named = said.contains("libasound.so.2") && said.contains("apt-get install libasound2");
    ensure!(is_named, "live does not name what is missing: {said}");
    root.player_does("~/.local/share/firstjack/uninstall")?;
    let left = root.player_does("find ~/.local ~/.clap ~/.vst3 2>/dev/null; true")?;
    ensure!(left.is_empty(), "uninstall leaves {left}");
    Ok(())
}

/// The package, with what it recommends.
fn installed(root: &Root, package: &str) -> Result<()> {
    root.does(&format!("apt-get install --yes --quiet /tmp/{package}"))?;
    let setups = "--setups /usr/share/firstjack/presets/courtyard.toml";
    root.player_does(&format!(
        "firstjack tell {setups} && firstjack render /tmp/take.wav {setups} -o rendered"
    ))?;
    root.player_does(&format!(
        "firstjack open /tmp/take.wav {setups} --screenshot again.png && test -s again.png"
    ))?;
    let said = root.player_is_refused("firstjack live")?;
    // What ALSA has for a default differs where there is no device.
    let is_told = said.contains("no device for sound was found") || said.contains("does not answer");
    ensure!(is_told, "ALSA is there, and live says: {said}");
    // All symbols of both bundles are in this system's libraries.
    for plugin in ["clap/Firstjack.clap", "vst3/Firstjack.vst3/Contents/x86_64-linux/Firstjack.so"] {
        let linked = root.does(&format!("ldd -r /usr/lib/{plugin} 2>&1"))?;
        ensure!(!linked.contains("undefined") && !linked.contains("not found"), "{plugin}: {linked}");
    }
    let files = root.does("dpkg -L firstjack")?;
    root.does("apt-get purge --yes --quiet firstjack")?;
    for file in files.lines().filter(|line| line.contains("irstjack")) {
        ensure!(!root.path(file.trim_start_matches('/')).exists(), "{file} stays behind");
    }
    Ok(())
}
