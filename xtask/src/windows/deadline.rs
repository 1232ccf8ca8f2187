//! Commands that may not take for ever: a registry that does not answer is no fault of ours.

use std::process::Command;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, ensure};

/// When setting up must be done.
#[derive(Clone, Copy)]
pub struct Deadline(Instant);

impl Deadline {
    /// So many minutes from now.
    pub fn minutes(minutes: u64) -> Self {
        Self(Instant::now() + Duration::from_secs(minutes * 60))
    }

    /// Runs a command to its end, and fails if it does, or ends it when its time is up.
    pub fn run(self, command: &mut Command) -> Result<()> {
        let shown = format!("{command:?}");
        let mut child = command.spawn().with_context(|| format!("cannot start {shown}"))?;
        loop {
            if let Some(status) = child.try_wait()? {
                ensure!(status.success(), "{shown} failed ({status})");
                return Ok(());
            }
            if Instant::now() > self.0 {
                child.kill()?;
                child.wait()?;
            }
            ensure!(Instant::now() <= self.0, "{shown} was not done in time");
            std::thread::sleep(Duration::from_millis(100));
        }
    }
}
