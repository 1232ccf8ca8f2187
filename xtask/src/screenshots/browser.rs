use std::path::Path;
use std::process::Stdio;

use anyhow::{Context, Result, ensure};

use crate::shell;

/// A picture of a file in a window of this many pixels.
pub fn shoot(page: &Path, picture: &Path, size: (u32, u32)) -> Result<()> {
    let _ = std::fs::remove_file(picture);
    let mut browser = shell::command("chromium");
    browser.args(["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"]);
    browser.arg(format!("--window-size={},{}", size.0, size.1));
    browser.arg(format!("--screenshot={}", picture.display())).arg(format!("file://{}", page.display()));
    // It complains of what a machine without a desktop lacks.
    let status = browser.stdout(Stdio::null()).stderr(Stdio::null()).status();
    let status = status.context("Chromium is missing; install it with your package manager, for example: sudo apt-get install chromium")?;
    ensure!(status.success() && picture.is_file(), "Chromium made no picture of {}", page.display());
    println!("{}", picture.display());
    Ok(())
}
