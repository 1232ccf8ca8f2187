//! What people get: archives for Linux and Windows and a package for Debian and its kin, with their checksums. The same bytes whenever they
//! are made of one commit with the same tools.

mod archive;
mod binary;
mod check;
mod contents;
mod deb;
mod inside;
mod linux;
mod release;
#[cfg(test)]
mod tests;
mod tree;

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};

use crate::{paths, windows};
use archive::{sha256, tar_gz, zip};
use contents::Common;
use release::{Release, VERSION};

/// Largest size of an archive in bytes.
const LIMIT_BYTES: usize = 20 * 1024 * 1024;

/// Makes archives of what is built here for Linux, and of a folder with what was built for Windows; with `check`, uses them in clean
/// systems.
pub fn run(for_windows: Option<&Path>, check: bool) -> Result<()> {
    let folder = paths::target().join("dist");
    let release = Release::of_checkout()?;
    let common = Common { guide: guide()?, licences: inside::licences()?, release };
    let seconds = common.release.seconds;
    let into = paths::target().join("linux");
    let built = linux::build(&into)?;
    let mut made = vec![
        named("linux-x86_64", "tar.gz", |top| tar_gz(&contents::linux(&common, &built)?, top, seconds))?,
        (
            format!("firstjack_{VERSION}_amd64.deb"),
            deb::package(&contents::debian(&common, &built)?, VERSION, seconds)?,
        ),
    ];
    match for_windows {
        Some(built) => {
            made.push(named("windows-x86_64", "zip", |top| zip(&contents::windows(&common, built)?, top))?);
        }
        None => println!("\n!!!!!!!! The archive for Windows was NOT made.\n"),
    }
    write(&folder, &made)?;
    if check { check::run(&folder, &linux::plugin(&into)) } else { Ok(()) }
}

/// What is built for Windows, where that can be done; where it cannot, that is told.
pub fn for_windows(is_left_out: bool) -> Result<Option<PathBuf>> {
    if is_left_out {
        return Ok(None);
    }
    if let Err(error) = windows::set_up() {
        println!("\n!!!!!!!! Windows cannot be built here: {error:#}\n");
        return Ok(None);
    }
    windows::release().map(Some)
}

/// An archive by its name, made of what lies in a folder of the same name.
fn named(
    system: &str,
    ending: &str,
    make: impl FnOnce(&str) -> Result<Vec<u8>>,
) -> Result<(String, Vec<u8>)> {
    let top = format!("firstjack-{VERSION}-{system}");
    Ok((format!("{top}.{ending}"), make(&top)?))
}

/// Writes archives and their checksums, and nothing else stays there.
fn write(folder: &Path, made: &[(String, Vec<u8>)]) -> Result<()> {
    for (name, bytes) in made {
        ensure!(bytes.len() <= LIMIT_BYTES, "{name} has {} bytes, more than {LIMIT_BYTES}", bytes.len());
    }
    if folder.exists() {
        fs::remove_dir_all(folder).with_context(|| format!("cannot empty {}", folder.display()))?;
    }
    fs::create_dir_all(folder)?;
    let mut sums = String::new();
    for (name, bytes) in made {
        fs::write(folder.join(name), bytes)?;
        sums.push_str(&format!("{}  {name}\n", sha256(bytes)));
        #[expect(clippy::cast_precision_loss, reason = "to tenths of a MiB")]
        let size = bytes.len() as f64 / f64::from(1 << 20);
        println!("{}: {size:.1} MiB", folder.join(name).display());
    }
    fs::write(folder.join("SHA256SUMS"), sums)?;
    Ok(())
}

fn guide() -> Result<Vec<u8>> {
    let path: PathBuf = crate::guide::make()?;
    fs::read(&path).with_context(|| format!("{} is missing", path.display()))
}
