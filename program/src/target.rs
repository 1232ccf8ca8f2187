//! Where files go: what may not be written, temporary names, and giving a finished file its own.

use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use crate::error::Failure;

/// Refuses a target that exists (unless it may be replaced), that is the take itself, or whose folder is missing.
pub fn check_target<'a>(
    target: &Path,
    takes: impl IntoIterator<Item = &'a PathBuf>,
    overwrite: bool,
) -> Result<(), Failure> {
    if takes.into_iter().any(|take| same_file::is_same_file(target, take).unwrap_or(false)) {
        return Err(Failure::SameFile { path: target.to_owned() });
    }
    if target.is_dir() {
        return Err(Failure::Usage(format!(
            "{}: it is a folder; give -o the name of a file (a folder is for render --setups)",
            target.display()
        )));
    }
    if !overwrite && target.symlink_metadata().is_ok() {
        return Err(Failure::Exists { path: target.to_owned() });
    }
    let folder = folder_of(target);
    if !folder.is_dir() {
        return Err(Failure::Usage(format!("{}: there is no such folder for the output", folder.display())));
    }
    Ok(())
}

/// Where a file goes.
pub fn folder_of(target: &Path) -> &Path {
    target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A temporary file beside `target`, with the permissions of any new file.
pub fn temporary(target: &Path) -> Result<NamedTempFile, Failure> {
    let mut builder = Builder::new();
    builder.prefix(".firstjack-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder_of(target)).map_err(|error| Failure::write(target, error))
}

/// Gives a finished temporary file its name.
pub fn publish(file: NamedTempFile, target: &Path, overwrite: bool) -> Result<(), Failure> {
    let named = if overwrite { file.persist(target) } else { file.persist_noclobber(target) };
    named.map(drop).map_err(|error| Failure::write(target, error.error))
}
