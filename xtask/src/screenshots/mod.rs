//! Pictures of a real window, drawn without a graphics card, and of what a browser shows; those of the guide among them.

mod browser;
mod palette;
mod window;

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::display::Display;
use crate::{demo, paths, release, shell};
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
const OF_GUIDE: [&str; 6] = ["window", "window-dark", "strings", "blind", "page", "note"];

/// Writes the pictures to `target/screenshots`, and with `keep` those of the guide to where it shows them.
pub fn run(keep: bool) -> Result<()> {
    let folder = paths::target().join("screenshots");
    fs::create_dir_all(&folder)?;
    release::build()?;
    let take = folder.join("take.wav");
    demo::write(&take, &demo::recorded(f64::from(demo::RATE_HZ))?)?;
    let window = Window { display: &Display::new()?, take: &take };
    for (name, options, times) in PICTURES {
        let picture = folder.join(name).with_extension("png");
        window.shoot(&picture, options)?;
        window::check(&picture, (SIZE.0 * times, SIZE.1 * times))
            .with_context(|| format!("{name} is no picture of a window"))?;
        println!("{}", picture.display());
    }
    shown(&folder, &take)?;
    if keep {
        for name in OF_GUIDE {
            let kept = paths::root().join("docs/guide/pictures").join(name).with_extension("png");
            palette::reduce(&folder.join(name).with_extension("png"), &kept)?;
            println!("{}: {} bytes", kept.display(), kept.metadata()?.len());
        }
    }
    Ok(())
}

/// The band's page as a phone shows it, and the crew note as it is printed.
fn shown(folder: &Path, take: &Path) -> Result<()> {
    let made = |name: &str, ending: &str| folder.join(name).with_extension(ending);
    let program = |arguments: &[&str]| {
        let mut command = shell::command(paths::program());
        command.args(arguments).args(["--overwrite", "-o"]);
        command
    };
    let (courtyard, tour) = (paths::preset("courtyard.toml"), paths::preset("tour.toml"));
    let page = made("page", "html");
    shell::run(program(&["pack", "--quiet"]).arg(&page).arg(take).arg("--setups").arg(courtyard))?;
    browser::shoot(&page, &made("page", "png"), (500, 900))?;
    let note = made("note", "html");
    shell::run(program(&["note"]).arg(&note).arg("--setups").arg(tour).args(["--venue", "courtyard"]))?;
    browser::shoot(&note, &made("note", "png"), (820, 1270))
}
