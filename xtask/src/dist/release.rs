//! What is packed: which version, of which commit.

use anyhow::{Context, Result, ensure};

use crate::shell;

/// The version of all that is released.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// A commit, whose time is the time of everything in the archives.
#[derive(Debug, Clone)]
pub struct Release {
    /// With a word behind it where files differ from it.
    pub commit: String,
    /// In seconds since 1970.
    pub seconds: u64,
    /// As 2026-11-28.
    pub day: String,
    /// As electronic mail has it (RFC 5322).
    pub date: String,
}

impl Release {
    /// The commit that is checked out.
    pub fn of_checkout() -> Result<Self> {
        let said = git(&["log", "-1", "--format=%H%n%ct%n%cs%n%cD"])?;
        let mut lines = said.lines();
        let mut line = || lines.next().map(str::to_owned).context("git tells too little of the commit");
        let (commit, seconds, day, date) = (line()?, line()?, line()?, line()?);
        let is_changed = !git(&["status", "--porcelain"])?.is_empty();
        if is_changed {
            println!(
                "dist: there are changes that are not committed; the archives say so, and are not those of the commit"
            );
        }
        let commit = if is_changed { format!("{commit} (changed)") } else { commit };
        Ok(Self { commit, seconds: seconds.parse()?, day, date })
    }
}

fn git(arguments: &[&str]) -> Result<String> {
    let output = shell::command("git").args(arguments).output().context("git is missing")?;
    ensure!(output.status.success(), "git {} failed", arguments.join(" "));
    Ok(String::from_utf8(output.stdout)?)
}
