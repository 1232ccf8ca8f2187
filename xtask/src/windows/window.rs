//! A window of the program for Windows, opened by wine on a display that nobody sees, and looked at.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail, ensure};

use super::{folder, wine};
use crate::display::Display;
use crate::{demo, paths, screenshots};

/// A window that takes longer than this has failed.
const LIMIT: Duration = Duration::from_secs(120);

/// Opens a take in a window, and fails where nothing was drawn.
pub fn check(program: &Path) -> Result<()> {
    let (take, picture) = (folder().join("take.wav"), folder().join("window.png"));
    demo::write(&take, &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let _ = fs::remove_file(&picture);
    let display = Display::new()?;
    let mut command = wine::command(program);
    command.arg("open").arg(&take).arg("--setups").arg(paths::preset("courtyard.toml"));
    command.args(["--theme", "light", "--screenshot"]).arg(&picture).env("LIBGL_ALWAYS_SOFTWARE", "1");
    if let Some(name) = &display.name {
        command.env("DISPLAY", name);
    }
    let mut window = command.spawn()?;
    let start = Instant::now();
    while window.try_wait()?.is_none() {
        if start.elapsed() > LIMIT {
            window.kill()?;
            window.wait()?;
            bail!("the window was not drawn within {} s", LIMIT.as_secs());
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    ensure!(window.wait()?.success(), "the window failed");
    screenshots::check(&picture, screenshots::SIZE).context("there is no picture of a window")?;
    println!("a window on Windows: {}", picture.display());
    Ok(())
}
