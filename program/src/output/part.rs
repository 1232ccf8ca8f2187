use std::fs::File;
use std::io::{self, IsTerminal, Read, Seek, SeekFrom, Write};
use std::path::Path;

use tempfile::{Builder, NamedTempFile};

use super::leftovers::{PREFIX, SUFFIX, UNIQUE};
use super::target::Target;
use crate::error::Failure;
use crate::stdout::has_heard_enough;

/// How often a new temporary file is tried for, should another run take it for a leftover before it is locked.
const ATTEMPTS: usize = 8;

/// Bytes that are copied together.
const PIECE: usize = 64 * 1024;

/// An output that is being written, under a temporary name until [`Part::publish`]. Dropped, nothing is left of it.
#[derive(Debug)]
pub struct Part {
    file: NamedTempFile,
    target: Target,
    overwrite: bool,
}

impl Part {
    pub fn create(target: &Target, overwrite: bool) -> Result<Self, Failure> {
        Ok(Self { file: temporary(target)?, target: target.clone(), overwrite })
    }

    /// Where it goes.
    pub fn target(&self) -> &Path {
        self.target.path()
    }

    /// Its length so far.
    ///
    /// # Errors
    /// If the system does not tell.
    pub fn bytes(&self) -> Result<u64, Failure> {
        self.file.as_file().metadata().map(|metadata| metadata.len()).map_err(|error| self.failed(error))
    }

    /// Writes all of its contents.
    ///
    /// # Errors
    /// If the system cannot write.
    pub fn fill(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.file.write_all(bytes).map_err(|error| self.failed(error))
    }

    /// Gives it its name once it is on the disk; or copies it to standard output.
    ///
    /// # Errors
    /// If the system cannot write, or something has come to stand under its name that may not be replaced.
    pub fn publish(self) -> Result<(), Failure> {
        if self.target.is_standard() {
            return self.print();
        }
        self.file.as_file().sync_all().map_err(|error| self.failed(error))?;
        self.target.check(self.overwrite)?;
        let Self { file, target, overwrite } = self;
        let named =
            if overwrite { file.persist(target.path()) } else { file.persist_noclobber(target.path()) };
        named.map_err(|error| target.failed(error.error))?;
        sync_folder(target.folder());
        Ok(())
    }

    /// A reader that has heard enough is no failure.
    fn print(mut self) -> Result<(), Failure> {
        match copy(self.file.as_file_mut(), &mut io::stdout().lock()) {
            Err(error) if !has_heard_enough(&error) => {
                Err(Failure::write(Path::new("standard output"), error))
            }
            _ => Ok(()),
        }
    }

    fn failed(&self, error: io::Error) -> Failure {
        self.target.failed(error)
    }
}

impl Write for Part {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Seek for Part {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

/// Refuses to write what is no text to a terminal.
pub fn check_standard() -> Result<(), Failure> {
    if io::stdout().is_terminal() {
        let accepted = "accepted is a file or a program behind it (> out.wav, | play)";
        return Err(Failure::Usage(format!("-o -: standard output is a terminal; {accepted}")));
    }
    Ok(())
}

/// A temporary file where the target is to be, with the permissions of any new file, and locked: what bears such a name and is not
/// locked is a leftover.
pub fn temporary(target: &Target) -> Result<NamedTempFile, Failure> {
    let mut builder = Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX).rand_bytes(UNIQUE);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut tries = 0;
    loop {
        let file = builder.tempfile_in(target.folder()).map_err(|error| target.failed(error))?;
        // A disk that knows no locks clears nothing away either.
        let taken = matches!(file.as_file().try_lock(), Err(std::fs::TryLockError::WouldBlock));
        tries += 1;
        if (!taken && file.path().exists()) || tries == ATTEMPTS {
            return Ok(file);
        }
    }
}

/// Brings a folder's names to the disk, where the system does that; the files are there already.
pub fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    #[cfg(not(unix))]
    let _ = folder;
}

fn copy(from: &mut File, to: &mut impl Write) -> io::Result<()> {
    from.rewind()?;
    let mut piece = vec![0; PIECE];
    loop {
        match from.read(&mut piece)? {
            0 => return to.flush(),
            there => to.write_all(&piece[..there])?,
        }
    }
}
