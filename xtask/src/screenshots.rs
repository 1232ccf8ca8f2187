//! Pictures of a real window, drawn without a graphics card.

use std::collections::HashSet;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail, ensure};

use crate::display::Display;
use crate::{demo, paths, release, shell};

/// The window at its own size, in pixels.
pub const SIZE: (u32, u32) = (1080, 760);

/// What each picture is called, how it is asked for, and how many times as large it is.
const PICTURES: [(&str, &[&str], u32); 4] = [
    ("open.png", &["--theme", "light"], 1),
    ("open-2x.png", &["--theme", "light", "--zoom", "2"], 2),
    ("open-3x.png", &["--theme", "light", "--zoom", "3"], 3),
    ("open-dark.png", &["--theme", "dark"], 1),
];

/// Text in two weights, six curves and their ground have more colours than this.
const LEAST_COLOURS: usize = 50;
/// No colour covers more of a quarter than this: the ground of one that is drawn was seen to cover 64 to 92 %.
const MOST_OF_ONE: f64 = 0.95;

/// A window that takes longer than this has failed.
const LIMIT_SECONDS: u64 = 60;

/// Opens the demo's take in a window and writes pictures of it to `target/screenshots`.
pub fn run() -> Result<()> {
    let folder = paths::target().join("screenshots");
    fs::create_dir_all(&folder)?;
    release::build()?;
    let take = folder.join("take.wav");
    demo::write(&take, &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let display = Display::new()?;
    for (name, options, times) in PICTURES {
        let picture = folder.join(name);
        shoot(&display, &take, &picture, options)?;
        check(&picture, (SIZE.0 * times, SIZE.1 * times))
            .with_context(|| format!("{name} is no picture of a window"))?;
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

/// Whether something was drawn, all over the window.
pub fn check(picture: &Path, size: (u32, u32)) -> Result<()> {
    let image = image::open(picture)?.into_rgb8();
    ensure!(image.dimensions() == size, "it has {:?} pixels instead of {size:?}", image.dimensions());
    // Each quarter, so that no part of it is blank.
    let (width, height) = (size.0 / 2, size.1 / 2);
    for (x, y) in [(0, 0), (width, 0), (0, height), (width, height)] {
        let quarter = image::imageops::crop_imm(&image, x, y, width, height).to_image();
        let mut pixels: Vec<[u8; 3]> = quarter.pixels().map(|pixel| pixel.0).collect();
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
