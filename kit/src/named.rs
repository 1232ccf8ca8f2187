//! Files that a person named.

use std::fs::{self, File};
use std::io;
use std::path::Path;

/// Opens one to read it. That it is a folder is found before: systems say that in words of their own, one at the opening and another at the
/// first reading, and one of them as if access were denied.
///
/// # Errors
/// If it is a folder, or cannot be opened.
pub fn open(path: &Path) -> io::Result<File> {
    refuse_folder(path)?;
    File::open(path)
}

/// All of one.
///
/// # Errors
/// As for [`open`]; or if it cannot be read.
pub fn read(path: &Path) -> io::Result<Vec<u8>> {
    refuse_folder(path)?;
    fs::read(path)
}

/// All of one that is text in UTF-8.
///
/// # Errors
/// As for [`read`]; or if it is no such text.
pub fn read_to_string(path: &Path) -> io::Result<String> {
    refuse_folder(path)?;
    fs::read_to_string(path)
}

/// Says it where a folder stands under the name of a file, one to be read or one to be written.
///
/// # Errors
/// If it is a folder.
pub fn refuse_folder(path: &Path) -> io::Result<()> {
    if path.is_dir() { Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder")) } else { Ok(()) }
}
