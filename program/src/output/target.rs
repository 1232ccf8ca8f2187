use std::ffi::OsString;
use std::fs::{FileType, Metadata};
use std::io;
use std::path::{Path, PathBuf};

use super::{Expected, part};
use crate::error::Failure;

/// Where one output goes.
#[derive(Debug, Clone)]
pub struct Target {
    /// What names it on the command line.
    option: &'static str,
    path: PathBuf,
    /// Without links; for standard output where temporary files are.
    folder: PathBuf,
    name: OsString,
    expected: Expected,
}

/// Whether a path means standard output.
pub fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// Where a file goes.
pub fn folder_of(target: &Path) -> &Path {
    target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Where files of the work on an output may lie meanwhile.
pub fn scratch(target: &Path) -> PathBuf {
    if is_standard(target) { std::env::temp_dir() } else { folder_of(target).to_owned() }
}

impl Target {
    pub fn new(option: &'static str, path: &Path, expected: Expected) -> Result<Self, Failure> {
        let (folder, name) = if is_standard(path) {
            part::check_standard()?;
            (std::env::temp_dir(), OsString::new())
        } else {
            let folder = folder_of(path);
            let real = folder.canonicalize().ok().filter(|folder| folder.is_dir()).ok_or_else(|| {
                Failure::Usage(format!("{}: there is no such folder for the output", folder.display()))
            })?;
            (real, path.file_name().unwrap_or_default().to_owned())
        };
        Ok(Self { option, path: path.to_owned(), folder, name, expected })
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    pub fn expected(&self) -> Expected {
        self.expected
    }

    /// What it takes of the disk, as far as that is known.
    pub fn bytes(&self) -> u64 {
        self.expected.bytes.unwrap_or(0)
    }

    pub fn is_standard(&self) -> bool {
        is_standard(&self.path)
    }

    pub fn failed(&self, error: io::Error) -> Failure {
        if error.kind() == io::ErrorKind::AlreadyExists {
            return self.exists();
        }
        Failure::write(&self.path, error)
    }

    fn exists(&self) -> Failure {
        Failure::Exists { path: self.path.clone(), option: self.option }
    }

    /// As [`Target::check_kind`], and refuses a file that is there, unless it may be replaced.
    pub fn check(&self, overwrite: bool) -> Result<(), Failure> {
        if self.check_kind()? && !overwrite { Err(self.exists()) } else { Ok(()) }
    }

    /// Whether Windows takes no such name, of which it says other things than that (255 units of UTF-16, common practice, no source).
    fn is_too_long(&self) -> bool {
        cfg!(windows) && self.name.to_string_lossy().encode_utf16().count() > 255
    }

    /// Refuses what stands under its name and is no regular file, and a name that cannot be; tells whether a file is there.
    pub fn check_kind(&self) -> Result<bool, Failure> {
        if self.is_standard() {
            return Ok(false);
        }
        let path = self.path.display();
        if self.name.is_empty() || ends_as_folder(&self.path) {
            return Err(Failure::Usage(format!(
                "{path}: it names no file; give {} the name of one",
                self.option
            )));
        }
        match self.path.symlink_metadata() {
            Ok(there) if !there.is_file() => Err(self.no_file(&there)),
            Ok(_) => Ok(true),
            Err(error) if error.kind() == io::ErrorKind::InvalidFilename || self.is_too_long() => {
                Err(Failure::Usage(format!(
                    "{path}: the system takes no name of {} bytes; give a shorter {}",
                    self.name.len(),
                    self.option
                )))
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
            Err(error) => Err(self.failed(error)),
        }
    }

    fn no_file(&self, there: &Metadata) -> Failure {
        let (path, option) = (self.path.display(), self.option);
        if there.is_dir() {
            return Failure::Usage(format!(
                "{path}: it is a folder; give {option} the name of a file (a folder is for several renderings)"
            ));
        }
        let kind = kind(there.file_type());
        Failure::Usage(format!(
            "{path}: it is {kind}; accepted are new names and regular files, or - for standard output"
        ))
    }

    /// Refuses a file that the run reads.
    pub fn check_input(&self, input: &Path, is: &'static str) -> Result<(), Failure> {
        // To compare a pipe it would be opened, and waited for.
        let is_file = |path: &Path| path.metadata().is_ok_and(|there| there.is_file());
        let one_file = is_file(&self.path)
            && is_file(input)
            && same_file::is_same_file(&self.path, input).unwrap_or(false);
        let one_name =
            || Self::new(self.option, input, Expected::default()).is_ok_and(|input| self.is_name_of(&input));
        if !self.is_standard() && (one_file || one_name()) {
            return Err(Failure::SameFile { path: self.path.clone(), is, option: self.option });
        }
        Ok(())
    }

    /// Refuses a second output under one name.
    pub fn check_other(&self, other: &Self) -> Result<(), Failure> {
        if self.is_name_of(other) || (self.is_standard() && other.is_standard()) {
            Err(self.twice(other))
        } else {
            Ok(())
        }
    }

    /// As [`Target::check_other`], where capital and small letters are one.
    pub fn check_case(&self, others: &[&Self]) -> Result<(), Failure> {
        let lower = |target: &Self| target.name.to_string_lossy().to_lowercase();
        let twin = |other: &&&Self| other.name != self.name && lower(other) == lower(self);
        others.iter().find(twin).map_or(Ok(()), |other| Err(self.twice(other)))
    }

    fn is_name_of(&self, other: &Self) -> bool {
        self.folder == other.folder && self.name == other.name
    }

    fn twice(&self, other: &Self) -> Failure {
        let path = self.path.display();
        if self.path == other.path {
            let accepted = "accepted are names, or folders, of their own";
            return Failure::Usage(format!(
                "{path}: two outputs of this run would have this name; {accepted}"
            ));
        }
        let other = other.path.display();
        Failure::Usage(format!(
            "{path}: it is one file with {other}, another output of this run; give each a name of its own"
        ))
    }
}

fn ends_as_folder(path: &Path) -> bool {
    path.as_os_str().to_string_lossy().ends_with(std::path::is_separator)
}

/// What is there that is no regular file.
fn kind(kind: FileType) -> &'static str {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if kind.is_fifo() {
            return "a pipe (FIFO)";
        }
        if kind.is_socket() {
            return "a socket";
        }
        if kind.is_char_device() || kind.is_block_device() {
            return "a device";
        }
    }
    if kind.is_symlink() { "a symbolic link" } else { "no regular file" }
}

/// Whether a folder takes capital and small letters for one, by a file that is in it.
pub fn ignores_case(file: &Path) -> bool {
    let name = file.file_name().unwrap_or_default().to_string_lossy().to_uppercase();
    same_file::is_same_file(file, file.with_file_name(name)).unwrap_or(false)
}
