//! Pictures of a real window, drawn without a graphics card.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use anyhow::{Context, Result, bail, ensure};

use crate::{demo, paths, shell};

/// What each picture is called, and how it is asked for.
const PICTURES: [(&str, &[&str]); 3] = [
    ("open.png", &["--theme", "light"]),
    ("open-2x.png", &["--theme", "light", "--zoom", "2"]),
    ("open-dark.png", &["--theme", "dark"]),
];

/// A window that takes longer than this has failed.
const LIMIT_SECONDS: u64 = 60;

/// Opens the demo's take in a window and writes pictures of it to `target/screenshots`.
pub fn run() -> Result<()> {
    let folder = paths::target().join("screenshots");
    fs::create_dir_all(&folder)?;
    shell::run(shell::cargo().args([
        "build",
        "--release",
        "--package",
        "firstjack",
        "--features",
        "window",
    ]))?;
    let take = folder.join("take.wav");
    demo::write(&take, &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let display = Display::new()?;
    for (name, options) in PICTURES {
        let picture = folder.join(name);
        shoot(&display, &take, &picture, options)?;
        println!("{}", picture.display());
    }
    Ok(())
}

fn shoot(display: &Display, take: &Path, picture: &Path, options: &[&str]) -> Result<()> {
    let _ = fs::remove_file(picture);
    let mut command = shell::command(paths::program());
    command.arg("open").arg(take).arg("--setups").arg(paths::preset("courtyard.toml")).args(options);
    command.arg("--screenshot").arg(picture).env("LIBGL_ALWAYS_SOFTWARE", "1");
    if let Some(name) = &display.name {
        command.env("DISPLAY", name);
    }
    let mut window = command.spawn()?;
    let start = std::time::Instant::now();
    while window.try_wait()?.is_none() {
        if start.elapsed().as_secs() > LIMIT_SECONDS {
            window.kill()?;
            window.wait()?;
            bail!("the window was not drawn within {LIMIT_SECONDS} s");
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    ensure!(window.wait()?.success(), "the window failed");
    ensure!(picture.is_file(), "there is no picture");
    Ok(())
}

/// The display that windows are opened on: the one that is there, or a virtual one for as long as this lives.
struct Display {
    /// `None` for the one that is there.
    name: Option<String>,
    server: Option<Child>,
}

impl Display {
    fn new() -> Result<Self> {
        if std::env::var_os("DISPLAY").is_some_and(|name| !name.is_empty()) {
            return Ok(Self { name: None, server: None });
        }
        let mut server = Command::new("Xvfb")
            // Large enough for a window at twice its size.
            .args(["-displayfd", "1", "-screen", "0", "2560x1760x24", "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .context("there is no display, and Xvfb is missing; install it with your package manager, for example: sudo \
                      apt-get install xvfb libgl1-mesa-dri")?;
        // It says which number it found free once it is ready.
        let mut number = String::new();
        let out = server.stdout.take().context("Xvfb has no output")?;
        BufReader::new(out).read_line(&mut number)?;
        let display = Self { name: Some(format!(":{}", number.trim())), server: Some(server) };
        ensure!(!number.trim().is_empty(), "Xvfb did not start");
        Ok(display)
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        if let Some(server) = &mut self.server {
            let _ = server.kill();
            let _ = server.wait();
        }
    }
}
