use std::io;
use std::path::PathBuf;

use dsp_core::kit::{KitError, NameProblem};
use dsp_core::preset::{PresetError, PresetProblem};
use thiserror::Error;

/// What cannot be done with a kit's file.
#[derive(Debug, Error)]
pub enum KitFileError {
    /// The system has no place for it.
    #[error(
        "this system says no folder for a person's settings: give the kit's file by --kit FILE, or by the variable {}",
        super::KitFile::VARIABLE
    )]
    Nowhere,
    /// It cannot be read.
    #[error("{}: cannot read the kit: {error}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
    /// It is no kit, by its size.
    #[error("{}: a kit has at most {most} bytes, and this has {bytes}: is it another file?", path.display())]
    Large {
        /// The file.
        path: PathBuf,
        /// How large it is.
        bytes: u64,
        /// How large it may be.
        most: u64,
    },
    /// It is no text.
    #[error("{}: it is no text in UTF-8, as a kit is: is it another file?", path.display())]
    NoText {
        /// The file.
        path: PathBuf,
    },
    /// What it says is wrong.
    #[error("{}: {error}", path.display())]
    Kit {
        /// The file.
        path: PathBuf,
        /// What, and where.
        error: Box<PresetError>,
    },
    /// What it was to be changed to cannot be.
    #[error(transparent)]
    Draft(#[from] DraftError),
    /// It cannot be written; what was there is still there.
    #[error("{}: cannot write the kit: {error}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
}

/// A change that a kit cannot have.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DraftError {
    /// The name of no entry.
    #[error("'{name}' is not in the kit{}", asked(near.as_deref()))]
    Unknown {
        /// What was given.
        name: String,
        /// What was probably meant.
        near: Option<String>,
    },
    /// A name that can be none, or that is there.
    #[error(transparent)]
    Name(#[from] KitError),
    /// Values that are none, or not those of an entry.
    #[error("{0}")]
    Value(Box<PresetProblem>),
    /// A part of a field that has no parts.
    #[error("{0} has no parts: give the field by itself")]
    NoParts(String),
}

fn asked(near: Option<&str>) -> String {
    near.map_or_else(|| ": firstjack kit lists it".to_owned(), |near| format!(": is it '{near}'?"))
}

impl From<NameProblem> for DraftError {
    fn from(problem: NameProblem) -> Self {
        Self::Name(problem.into())
    }
}
