//! Whether the disk has room for what is to come.

use std::path::Path;

use crate::error::Failure;

/// Refuses what needs more room than there is.
pub fn check(folder: &Path, needed: u64) -> Result<(), Failure> {
    match free(folder) {
        Some(free) if free < needed => Err(Failure::NoRoom { path: folder.to_owned(), needed, free }),
        _ => Ok(()),
    }
}

/// Bytes that this user may still write there; `None` where the system does not tell.
fn free(folder: &Path) -> Option<u64> {
    let told = fs4::statvfs(folder).ok()?;
    // A system that knows no size of a disk says zero of everything.
    (told.total_space() > 0).then(|| told.available_space())
}
