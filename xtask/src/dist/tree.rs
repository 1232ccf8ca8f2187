//! What lies in an archive, in memory.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail, ensure};

/// Files by their paths in an archive, in order.
#[derive(Debug, Default)]
pub struct Tree {
    files: BTreeMap<String, File>,
}

#[derive(Debug)]
pub struct File {
    pub bytes: Vec<u8>,
    pub is_program: bool,
}

impl Tree {
    /// Adds a file that is read, or run by nobody.
    pub fn add(&mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.files.insert(path.into(), File { bytes: bytes.into(), is_program: false });
    }

    /// Adds a file that is run.
    pub fn add_program(&mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.files.insert(path.into(), File { bytes: bytes.into(), is_program: true });
    }

    /// Adds a file of the disk, or a folder with all that is in it.
    ///
    /// # Errors
    /// If it is not there, is empty, or has a link in it.
    pub fn add_from(&mut self, path: &str, from: &Path) -> Result<()> {
        let about = from.symlink_metadata().with_context(|| format!("{} is missing", from.display()))?;
        if about.is_file() {
            let bytes = fs::read(from).with_context(|| format!("cannot read {}", from.display()))?;
            ensure!(!bytes.is_empty(), "{} is empty", from.display());
            self.add(path, bytes);
            return Ok(());
        }
        ensure!(about.is_dir(), "{} is neither file nor folder", from.display());
        let mut is_empty = true;
        for entry in fs::read_dir(from)? {
            let name = entry?.file_name();
            let Some(name) = name.to_str() else { bail!("{} has a file without a name", from.display()) };
            self.add_from(&format!("{path}/{name}"), &from.join(name))?;
            is_empty = false;
        }
        ensure!(!is_empty, "{} is empty", from.display());
        Ok(())
    }

    pub fn files(&self) -> impl Iterator<Item = (&str, &File)> {
        self.files.iter().map(|(path, file)| (path.as_str(), file))
    }

    /// The folders that its files lie in, the outer ones first.
    pub fn folders(&self) -> Vec<&str> {
        let mut folders: Vec<&str> =
            self.files.keys().flat_map(|path| path.match_indices('/').map(|(at, _)| &path[..at])).collect();
        folders.sort_unstable();
        folders.dedup();
        folders
    }
}
