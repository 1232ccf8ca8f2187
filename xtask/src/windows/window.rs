//! A window of the program for Windows, opened by wine on a display that nobody sees, and looked at.

use std::fs;

use anyhow::{Context, Result};

use super::folder;
use crate::built::Built;
use crate::demo;
use crate::display::Display;
use crate::screenshots::window::{self, SIZE, Window};

/// Opens a take in a window, and fails where nothing was drawn.
pub fn check(windows: &Built) -> Result<()> {
    let folder = folder().join("window");
    fs::create_dir_all(&folder)?;
    let (take, picture) = (folder.join("take.wav"), folder.join("window.png"));
    demo::write(&take, &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let window = Window { built: windows, display: &Display::new()?, take: &take };
    window.shoot(&picture, &["--theme", "light"])?;
    window::check(&picture, SIZE).context("it is no picture of a window")?;
    println!("a window of the program for Windows: {}", picture.display());
    Ok(())
}
