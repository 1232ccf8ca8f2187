use std::collections::HashSet;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Result, bail, ensure};

use crate::built::Built;
use crate::display::Display;
use crate::paths;

use super::picture::Picture;

/// The window at its own size, in pixels.
pub const SIZE: (u32, u32) = (1080, 760);

/// Text in two weights, six curves and their ground have more colours than this.
const LEAST_COLOURS: usize = 50;
/// No colour covers more of a quarter than this: the ground of one that is drawn was seen to cover 64 to 92 %.
const MOST_OF_ONE: f64 = 0.95;

/// A window that takes longer than this has failed.
const LIMIT: Duration = Duration::from_secs(60);

/// A machine that makes pictures need not have a sound card: ALSA's own device that takes whatever it is given.
const ALSA: &str = "pcm.!default { type null }\nctl.!default { type null }\n";

/// What the window is opened on.
pub struct Window<'a> {
    pub built: &'a Built,
    pub display: &'a Display,
    pub take: &'a Path,
}

impl Window<'_> {
    /// A picture of it as it opens with these options.
    pub fn shoot(&self, picture: &Path, options: &[&str]) -> Result<()> {
        let _ = fs::remove_file(picture);
        let alsa = picture.with_file_name("alsa.conf");
        fs::write(&alsa, ALSA)?;
        let mut command = self.built.program();
        command.arg("open").arg(self.take).arg("--setups").arg(paths::preset("courtyard.toml")).args(options);
        command.arg("--screenshot").arg(picture);
        command.env("LIBGL_ALWAYS_SOFTWARE", "1").env("ALSA_CONFIG_PATH", alsa);
        if let Some(name) = &self.display.name {
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
            std::thread::sleep(Duration::from_millis(50));
        }
        ensure!(window.wait()?.success(), "the window failed");
        ensure!(picture.is_file(), "there is no picture");
        Ok(())
    }
}

/// Whether something was drawn, all over the window.
pub fn check(picture: &Path, size: (u32, u32)) -> Result<()> {
    let picture = Picture::open(picture)?;
    ensure!(picture.size == size, "it has {:?} pixels instead of {size:?}", picture.size);
    // Each quarter, so that no part of it is blank.
    let (width, height) = (size.0 / 2, size.1 / 2);
    for (x, y) in [(0, 0), (width, 0), (0, height), (width, height)] {
        let mut pixels = picture.part((x, y), (width, height));
        let all = pixels.len();
        let colours = pixels.iter().collect::<HashSet<_>>().len();
        ensure!(colours > LEAST_COLOURS, "{colours} colours from {x}, {y} on");
        pixels.sort_unstable();
        let largest = pixels.chunk_by(PartialEq::eq).map(<[_]>::len).max().unwrap_or(0);
        #[expect(clippy::cast_precision_loss, reason = "millions of pixels")]
        let part = largest as f64 / all as f64;
        ensure!(part < MOST_OF_ONE, "{:.0} % of it are of one colour from {x}, {y} on", 100.0 * part);
    }
    Ok(())
}
