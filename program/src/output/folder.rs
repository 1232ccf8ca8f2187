use std::fs;
use std::path::{Path, PathBuf};

use super::part::sync_folder;
use super::target::folder_of;
use crate::error::Failure;

/// Refuses a folder for a set that is something else, or would stand in a folder that is missing.
pub fn check(folder: &Path) -> Result<(), Failure> {
    let refuse = |path: &Path, problem: &str| Err(Failure::Usage(format!("{}: {problem}", path.display())));
    match folder.parent().filter(|parent| !parent.as_os_str().is_empty()) {
        _ if folder.is_dir() => Ok(()),
        _ if folder.symlink_metadata().is_ok() => refuse(
            folder,
            "it is not a folder; for several renderings -o names a folder, which may be a new one",
        ),
        Some(parent) if !parent.is_dir() => refuse(parent, "there is no such folder for the output"),
        _ => Ok(()),
    }
}

/// The folder of a set; if it is new and nothing comes of the set, it goes again.
pub struct NewFolder {
    created: Option<PathBuf>,
}

impl NewFolder {
    pub fn create(folder: &Path) -> Result<Self, Failure> {
        if folder.is_dir() {
            return Ok(Self { created: None });
        }
        fs::create_dir(folder).map_err(|error| Failure::write(folder, error))?;
        sync_folder(folder_of(folder));
        Ok(Self { created: Some(folder.to_owned()) })
    }

    pub fn keep(mut self) {
        self.created = None;
    }
}

impl Drop for NewFolder {
    fn drop(&mut self) {
        if let Some(folder) = &self.created {
            // Fails if there is something in it, which then stays.
            let _ = fs::remove_dir(folder);
        }
    }
}
