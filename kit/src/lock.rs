use std::ffi::OsString;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use same_file::Handle;

/// That nobody else changes a file, as long as it lives. It is a lock on a file beside the one that is changed, since that one is replaced; it
/// goes with whoever held it last.
pub struct Lock {
    path: PathBuf,
    _file: Option<File>,
}

impl Lock {
    /// Waits until nobody else has it. On a disk that knows no locks, nobody waits for anybody.
    pub fn new(target: &Path) -> io::Result<Self> {
        let mut name = OsString::from(".");
        name.push(target.file_name().unwrap_or_default());
        name.push(".lock");
        let path = target.with_file_name(name);
        loop {
            let file = OpenOptions::new().create(true).append(true).open(&path)?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => file.lock()?,
                Err(TryLockError::Error(_)) => return Ok(Self { path, _file: None }),
            }
            // Whoever had it before has taken it away: then others wait for another file.
            let is_there = Handle::from_path(&path).is_ok_and(|there| {
                file.try_clone().and_then(Handle::from_file).is_ok_and(|own| own == there)
            });
            if is_there {
                return Ok(Self { path, _file: Some(file) });
            }
        }
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        if self._file.is_some() {
            let _ = fs::remove_file(&self.path);
        }
    }
}
