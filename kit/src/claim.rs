use std::fs::{self, Permissions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::Builder;

use crate::lock::Lock;

/// A file that only its holder changes, as long as this lives: what is read meanwhile is what the change goes upon. Its folder is made.
pub struct Claim {
    target: PathBuf,
    _lock: Lock,
}

impl Claim {
    /// Waits until nobody else has it. A link stays a link.
    ///
    /// # Errors
    /// If its folder cannot be made, or nothing can be written there.
    pub fn on(path: &Path) -> io::Result<Self> {
        let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        fs::create_dir_all(folder(&target))?;
        let lock = Lock::new(&target)?;
        Ok(Self { target, _lock: lock })
    }

    /// Writes all of the file under a temporary name, and gives it its own: the file that there was stays until the new one is complete.
    ///
    /// # Errors
    /// If it cannot be written; then it is as it was.
    pub fn replace(&self, bytes: &[u8]) -> io::Result<()> {
        let there = fs::metadata(&self.target).ok().map(|metadata| metadata.permissions());
        if there.as_ref().is_some_and(Permissions::readonly) {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "it may only be read"));
        }
        let folder = folder(&self.target);
        let mut builder = Builder::new();
        builder.prefix(".firstjack-").suffix(".tmp");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // The system takes away what its owner does not want others to have.
            builder.permissions(Permissions::from_mode(0o666));
        }
        let mut file = builder.tempfile_in(folder)?;
        file.write_all(bytes)?;
        if let Some(there) = there {
            file.as_file().set_permissions(there)?;
        }
        file.as_file().sync_all()?;
        file.persist(&self.target)?;
        #[cfg(unix)]
        let _ = fs::File::open(folder).and_then(|folder| folder.sync_all());
        Ok(())
    }
}

fn folder(target: &Path) -> &Path {
    target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}
