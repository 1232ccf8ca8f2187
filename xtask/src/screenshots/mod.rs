//! Pictures of a real window, drawn without a graphics card, and of what a browser shows; those of the guide among them.

mod browser;
mod palette;
mod picture;
pub mod window;

use std::fs;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result};

use crate::built::Built;
use crate::display::Display;
use crate::{demo, paths, shell};
use window::{SIZE, Window};

/// What each picture of the window is called, how it is asked for, and how many times as large it is.
const PICTURES: [(&str, &[&str], u32); 6] = [
    ("window", &["--theme", "light"], 1),
    ("window-2x", &["--theme", "light", "--zoom", "2"], 2),
    ("window-3x", &["--theme", "light", "--zoom", "3"], 3),
    ("window-dark", &["--theme", "dark"], 1),
    ("strings", &["--theme", "light", "--page", "strings"], 1),
    ("blind", &["--theme", "light", "--page", "blind"], 1),
];

/// Those that the guide shows.
const OF_GUIDE: [&str; 6] = ["window", "strings", "blind", "page", "note", "lead"];

/// Writes the pictures to `target/screenshots`, and with `keep` those of the guide to where it shows them.
pub fn run(built: &Built, keep: bool) -> Result<()> {
    let folder = paths::target().join("screenshots");
    fs::create_dir_all(&folder)?;
    let take = folder.join("take.wav");
    demo::write(&take, &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let window = Window { built, display: &Display::new()?, take: &take };
    for (name, options, times) in PICTURES {
        let picture = folder.join(name).with_extension("png");
        window.shoot(&picture, options)?;
        window::check(&picture, (SIZE.0 * times, SIZE.1 * times))
            .with_context(|| format!("{name} is no picture of a window"))?;
        println!("{}", picture.display());
    }
    shown(built, &folder, &take)?;
    if keep {
        for name in OF_GUIDE {
            let kept = paths::root().join("docs/guide/pictures").join(name).with_extension("png");
            palette::reduce(&folder.join(name).with_extension("png"), &kept)?;
            println!("{}: {} bytes", kept.display(), kept.metadata()?.len());
        }
    }
    Ok(())
}

/// The band's page as a phone shows it, the crew note and the page of the measuring lead as they are printed.
fn shown(built: &Built, folder: &Path, take: &Path) -> Result<()> {
    let courtyard = paths::preset("courtyard.toml");
    let tour = paths::preset("tour.toml");
    let shoot = |name: &str, size, make: &mut Command| {
        let page = folder.join(name).with_extension("html");
        shell::run(make.args(["--overwrite", "-o"]).arg(&page))?;
        browser::shoot(&page, &page.with_extension("png"), size)
    };
    let mut page = built.program();
    shoot("page", (500, 900), page.args(["pack", "--quiet"]).arg(take).arg("--setups").arg(courtyard))?;
    let mut note = built.program();
    shoot("note", (820, 1270), note.args(["note", "--venue", "courtyard", "--setups"]).arg(tour))?;
    shoot("lead", (820, 1160), built.program().args(["measure", "lead"]))
}
