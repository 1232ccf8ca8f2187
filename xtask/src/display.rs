//! Where windows are opened.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

use anyhow::{Context, Result, ensure};

/// The display that windows are opened on: the one that is there, or a virtual one for as long as this lives.
pub struct Display {
    /// `None` for the one that is there.
    pub name: Option<String>,
    server: Option<Child>,
}

impl Display {
    /// The one that the environment names, if it names one.
    pub fn new() -> Result<Self> {
        if std::env::var_os("DISPLAY").is_some_and(|name| !name.is_empty()) {
            return Ok(Self { name: None, server: None });
        }
        let mut server = Command::new("Xvfb")
            // Large enough for a window at three times its size.
            .args(["-displayfd", "1", "-screen", "0", "3840x2400x24", "-nolisten", "tcp"])
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
