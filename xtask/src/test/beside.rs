//! Steps in a process of their own, beside whatever runs meanwhile. What they say goes into a file and is shown when they end.

use std::fs::{self, File};
use std::path::PathBuf;
use std::process::Child;
use std::time::Instant;

use anyhow::{Context, Result, ensure};

use super::Step;
use super::clock::Clock;
use crate::{paths, shell};

/// Steps that run, one after the other.
pub struct Beside {
    names: String,
    said: PathBuf,
    process: Child,
    start: Instant,
}

impl Beside {
    /// Starts them; what they need has been built.
    pub fn start(steps: &[Step]) -> Result<Self> {
        let names = steps.iter().map(|step| step.name).collect::<Vec<_>>();
        let folder = paths::target().join("test");
        fs::create_dir_all(&folder)?;
        let said = folder.join(format!("{}.txt", names.join("-")));
        let names_ = names.join(", ");
        println!("\n== {names_}: beside what follows, telling {}", said.display());
        let file = File::create(&said)?;
        // After whatever has to be in time.
        let mut command = shell::command(if cfg!(unix) { "nice".into() } else { std::env::current_exe()? });
        if cfg!(unix) {
            command.args(["-n", "10"]).arg(std::env::current_exe()?);
        }
        command.args(["test", "--built"]).args(names.iter().flat_map(|name| ["--only", name]));
        let process =
            command.stdout(file.try_clone()?).stderr(file).spawn().context("cannot start a step")?;
        Ok(Self { names: names_, said, process, start: Instant::now() })
    }

    /// Does something while they run, waits for their end and shows what they said; fails if one has failed.
    pub fn end(mut self, clock: &mut Clock, meanwhile: impl FnOnce()) -> Result<()> {
        if self.process.try_wait()?.is_none() {
            meanwhile();
        }
        let status = self.process.wait()?;
        println!("\n== {}", self.names);
        print!("{}", String::from_utf8_lossy(&fs::read(&self.said)?));
        clock.add(self.names.clone(), self.start.elapsed(), None, status.success());
        ensure!(status.success(), "{} failed", self.names);
        Ok(())
    }
}
