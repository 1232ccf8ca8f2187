use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use anyhow::{Context, Result, ensure};

use crate::display::Display;
use crate::{paths, shell};

/// A clean system in a folder, which goes with it.
pub struct Root {
    folder: PathBuf,
    display: String,
}

impl Root {
    /// A copy of one that is made once.
    pub fn new(suite: &str, display: &Display) -> Result<Self> {
        let roots = paths::target().join("tools/roots");
        let kept = roots.join(suite);
        if !kept.exists() {
            fs::create_dir_all(&roots)?;
            let part = roots.join(format!("{suite}.part"));
            let _ = fs::remove_dir_all(&part);
            let bootstrap =
                shell::run(shell::command("debootstrap").args(["--variant=minbase", suite]).arg(&part));
            bootstrap.with_context(|| format!("a clean {suite} cannot be had"))?;
            fs::rename(part, &kept)?;
        }
        let folder = roots.join(format!("{suite}.used"));
        let _ = fs::remove_dir_all(&folder);
        shell::run(Command::new("cp").arg("-a").args([&kept, &folder]))?;
        let display = display.name.clone().or_else(|| std::env::var("DISPLAY").ok());
        Ok(Self { folder, display: display.context("there is no display")? })
    }

    /// A path below its root.
    pub fn path(&self, path: &str) -> PathBuf {
        self.folder.join(path)
    }

    /// Copies a file to where everybody finds it.
    pub fn put(&self, file: &Path) -> Result<()> {
        let name = file.file_name().context("a file has no name")?;
        fs::copy(file, self.folder.join("tmp").join(name))
            .with_context(|| format!("{} is missing", file.display()))?;
        Ok(())
    }

    /// What root's commands say.
    pub fn does(&self, script: &str) -> Result<String> {
        Self::done(script, &self.run("root", script)?)
    }

    /// What the commands of a person without root say.
    pub fn player_does(&self, script: &str) -> Result<String> {
        Self::done(script, &self.run("player", script)?)
    }

    /// What they say of why they do not: at once, in words, and not by a signal.
    pub fn player_is_refused(&self, script: &str) -> Result<String> {
        let output = self.run("player", script)?;
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        ensure!(output.status.code() == Some(1), "'{script}' ended with {}: {said}", output.status);
        Ok(said)
    }

    fn done(script: &str, output: &Output) -> Result<String> {
        let (said, problem) =
            (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
        ensure!(output.status.success(), "'{script}' failed: {said}{problem}");
        Ok(said.into_owned())
    }

    /// In a name space of its own, so that nothing stays mounted. Displays are found by their abstract sockets.
    fn run(&self, user: &str, script: &str) -> Result<Output> {
        let mounted = "mount -t proc proc \"$0/proc\" && exec chroot \"$0\" su - \"$1\" -c \"$2\"";
        let script = format!(
            "export DISPLAY={} LIBGL_ALWAYS_SOFTWARE=1 DEBIAN_FRONTEND=noninteractive\n{script}",
            self.display
        );
        let output = Command::new("unshare")
            .args(["--mount", "sh", "-c", mounted])
            .arg(&self.folder)
            .args([user, &script])
            .output();
        output.context("unshare is missing")
    }
}

impl Drop for Root {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.folder);
    }
}
