//! What the checks need of the system beside a Rust toolchain, git and Python.

use std::path::Path;

use anyhow::{Result, bail};

use crate::shell;

/// The names that Debian and its kin give to all of it: a circuit simulator, virtual environments for Python, a display for
/// windows that nobody sees, drawing in software, a browser with its driver, what sound is built with, and programs that read and
/// write files of sound.
const PACKAGES: [&str; 16] = [
    "ngspice",
    "python3-venv",
    "xvfb",
    "libgl1",
    "libgl1-mesa-dri",
    "libxcursor1",
    "libx11-xcb1",
    "libxkbcommon-x11-0",
    "chromium",
    "chromium-driver",
    "pkg-config",
    "libasound2-dev",
    "libjack-jackd2-dev",
    "ffmpeg",
    "flac",
    "sox",
];

/// Without what they recommend: a player of notes and its font (not its window and a font of 140 MB); an audio workstation, 29 MB to
/// load and 139 MiB installed with what it needs, and a hand for its window.
const ALONE: [&str; 4] = ["fluidsynth", "timgm6mb-soundfont", "ardour", "xdotool"];

/// Where that font lies.
const FONT: &str = "/usr/share/sounds/sf2/TimGM6mb.sf2";

/// Installs what is missing where that can be done without asking, or says how.
pub fn need() -> Result<()> {
    let browser = shell::has("chromium") && shell::has("chromedriver");
    let sound = shell::command("pkg-config").args(["--exists", "alsa", "jack"]).status();
    let has_sound = sound.is_ok_and(|status| status.success());
    let files = ["ffmpeg", "flac", "sox"].into_iter().all(shell::has);
    let notes = shell::has("fluidsynth") && Path::new(FONT).exists();
    let workstation = shell::has("ardour7-export") && shell::has("xdotool");
    if shell::has("ngspice") && shell::has("Xvfb") && browser && has_sound && files && notes && workstation {
        return Ok(());
    }
    let is_root = shell::command("id").arg("-u").output().is_ok_and(|id| id.stdout == b"0\n");
    if is_root && shell::has("apt-get") {
        shell::run(shell::command("apt-get").args(["update", "--quiet"]))?;
        shell::run(shell::command("apt-get").args(["install", "--yes", "--quiet"]).args(PACKAGES))?;
        let alone = ["install", "--yes", "--quiet", "--no-install-recommends"];
        return shell::run(shell::command("apt-get").args(alone).args(ALONE));
    }
    bail!(
        "ngspice, Xvfb, Chromium, its driver, the development files of ALSA and JACK, ffmpeg, flac, sox, fluidsynth, its \
         font TimGM6mb, Ardour 7 or xdotool are missing; install them with your package manager, for example: sudo apt-get install {} {}",
        PACKAGES.join(" "),
        ALONE.join(" ")
    )
}
