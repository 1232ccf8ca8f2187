use std::io::{self, Read};
use std::path::{Path, PathBuf};

use dsp_core::kit::Kit;
use etcetera::BaseStrategy;

use crate::{Claim, Draft, DraftError, KitFileError, named};

/// The most bytes of a kit's file: some thousands of entries.
const MOST_BYTES: u64 = 1 << 20;

/// The file of a person's kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitFile {
    path: PathBuf,
    /// Whether it was said for this one run, and so should be there.
    is_said: bool,
}

impl KitFile {
    /// The variable of the environment that says where it lies.
    pub const VARIABLE: &str = "FIRSTJACK_KIT";

    /// What was said for this run; or else what the environment says; or else `firstjack/kit.toml` in the folder of a person's settings.
    ///
    /// # Errors
    /// If nothing is said, and the system has no such folder.
    pub fn find(said: Option<&Path>) -> Result<Self, KitFileError> {
        if let Some(path) = said {
            return Ok(Self { path: path.to_owned(), is_said: true });
        }
        let of_environment = std::env::var_os(Self::VARIABLE).filter(|path| !path.is_empty());
        let usual = || {
            let folder = etcetera::choose_base_strategy().ok()?.config_dir();
            Some(folder.join("firstjack").join("kit.toml"))
        };
        let path = of_environment.map(PathBuf::from).or_else(usual).ok_or(KitFileError::Nowhere)?;
        Ok(Self { path, is_said: false })
    }

    /// Where it lies, or would.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What it says. Without a file the kit is empty, unless the file was said for this run.
    ///
    /// # Errors
    /// If it cannot be read, or is no kit.
    pub fn read(&self) -> Result<Kit, KitFileError> {
        let text = match self.text() {
            Err(KitFileError::Read { error, .. }) if !self.is_said && is_absent(&error) => {
                return Ok(Kit::default());
            }
            text => text?,
        };
        Kit::from_toml(&text).map_err(|error| self.wrong(error))
    }

    /// Changes it, or makes it. The file that there was stays until the new one is complete; two runs at once change it one after the other,
    /// each what the other has left.
    ///
    /// # Errors
    /// If it cannot be read, is no kit, cannot be changed so or cannot be written; then it is as it was.
    pub fn change<T>(
        &self,
        change: impl FnOnce(&mut Draft) -> Result<T, DraftError>,
    ) -> Result<T, KitFileError> {
        let write = |error| KitFileError::Write { path: self.path.clone(), error };
        let claim = Claim::on(&self.path).map_err(write)?;
        let before = match self.text() {
            Err(KitFileError::Read { error, .. }) if error.kind() == io::ErrorKind::NotFound => String::new(),
            text => text?,
        };
        let mut draft = Draft::new(&before).map_err(|error| self.wrong(error))?;
        let done = change(&mut draft)?;
        let after = draft.to_string();
        if after != before {
            claim.replace(after.as_bytes()).map_err(write)?;
        }
        Ok(done)
    }

    fn wrong(&self, error: dsp_core::preset::PresetError) -> KitFileError {
        KitFileError::Kit { path: self.path.clone(), error: Box::new(error) }
    }

    fn text(&self) -> Result<String, KitFileError> {
        let path = || self.path.clone();
        let failed = |error| KitFileError::Read { path: path(), error };
        let mut bytes = Vec::new();
        let file = named::open(&self.path).map_err(failed)?;
        let there = file.metadata().map_err(failed)?.len();
        // A pipe does not say how much there is.
        file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
        if bytes.len() as u64 > MOST_BYTES {
            return Err(KitFileError::Large {
                path: path(),
                bytes: there.max(MOST_BYTES + 1),
                most: MOST_BYTES,
            });
        }
        String::from_utf8(bytes).map_err(|_| KitFileError::NoText { path: path() })
    }
}

/// Whether nothing is there, nor a folder that it could be in.
fn is_absent(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory)
}
