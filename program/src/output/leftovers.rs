//! What a run that was killed has left: temporary files that nobody holds.

use std::fs::{self, DirEntry, File};
use std::path::Path;

/// Around what makes a temporary name unique.
pub const PREFIX: &str = ".firstjack-";
pub const SUFFIX: &str = ".part";

/// As many letters and digits make it unique.
pub const UNIQUE: usize = 6;

/// Removes the temporary files of runs that are no more. A run holds a lock on each of its own, which ends with it, however it ends; what is
/// locked, or on a disk that knows no locks, stays. What cannot be read or removed is no reason not to write.
pub fn clear(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten().filter(is_temporary) {
        let path = entry.path();
        if File::open(&path).is_ok_and(|file| file.try_lock().is_ok()) {
            let _ = fs::remove_file(path);
        }
    }
}

fn is_temporary(entry: &DirEntry) -> bool {
    let name = entry.file_name();
    let unique = name.to_str().and_then(|name| name.strip_prefix(PREFIX)?.strip_suffix(SUFFIX));
    let is_ours = unique.is_some_and(|unique| {
        unique.len() == UNIQUE && unique.chars().all(|letter| letter.is_ascii_alphanumeric())
    });
    is_ours && entry.file_type().is_ok_and(|kind| kind.is_file())
}
