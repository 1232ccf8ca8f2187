use std::io;
use std::path::{Path, PathBuf};

use dsp_core::preset::PresetError;
use dsp_core::response::Lossless;
use dsp_core::units::UnitError;
use firstjack_kit::KitFileError;
use firstjack_measure::Refusal;
use firstjack_sound::SoundError;
use firstjack_words::{visible, visible_but};
use thiserror::Error;

/// Why a command could not be carried out. No file is left half written; of a set whose naming fails, those named before stay.
#[derive(Debug, Error)]
pub enum Failure {
    /// A value on the command line.
    #[error("{option}: {error}")]
    Value { option: &'static str, error: UnitError },
    /// A circuit that cannot be: an option, or a setup with the pickup that options describe.
    #[error("{place}: {error}")]
    Lossless { place: String, error: Lossless },
    /// Options that do not fit together, or a number out of range.
    #[error("{0}")]
    Usage(String),
    /// An input file that cannot be used.
    #[error("{}: {problem}", path.display())]
    Input { path: PathBuf, problem: String },
    /// A preset file that cannot be used.
    #[error("{}: {error}", visible(&path.display().to_string()))]
    Preset { path: PathBuf, error: Box<PresetError> },
    /// A kit that cannot be used.
    #[error(transparent)]
    Kit(#[from] KitFileError),
    /// Answers of listeners that do not count, one a line; those that do have been told.
    #[error("{0}")]
    Refused(String),
    /// Recordings that are all right as files, and still do not say what was asked for.
    #[error("{0}; nothing is written or saved")]
    CannotTell(Refusal),
    /// The output exists and was not to be overwritten.
    #[error("{}: it exists; give another {option}, or --overwrite to replace it", path.display())]
    Exists { path: PathBuf, option: &'static str },
    /// The output is an input.
    #[error("{}: it is {is} itself; give another {option}", path.display())]
    SameFile { path: PathBuf, is: &'static str, option: &'static str },
    /// The disk is too full, in bytes.
    #[error(
        "{}: there is too little room: {} needed, {} free; make room, or write to another disk",
        path.display(),
        megabytes(*needed),
        megabytes(*free)
    )]
    NoRoom { path: PathBuf, needed: u64, free: u64 },
    /// What was asked for is not part of this build.
    #[error(
        "{command} is not in this build: build it with cargo build --release --package firstjack --features {feature}{}",
        packages(feature)
    )]
    #[cfg_attr(feature = "sound", expect(dead_code, reason = "this build has everything"))]
    Unbuilt { command: &'static str, feature: &'static str },
    /// There is no window to be had.
    #[error("cannot open a window: {0}")]
    #[cfg_attr(not(feature = "window"), expect(dead_code, reason = "this build has no window"))]
    Window(String),
    /// There is no sound to be had.
    #[error("{0}")]
    #[cfg_attr(not(feature = "sound"), expect(dead_code, reason = "this build has no sound"))]
    Sound(String),
    /// The system could not write.
    #[error("{}: cannot write: {error}", path.display())]
    Write { path: PathBuf, error: io::Error },
    /// By Ctrl-C, or by the system asking to end.
    #[error("interrupted: {}", kept(*.takes))]
    Interrupted { takes: usize },
}

impl Failure {
    /// For a terminal: nothing of names, paths or files steers it.
    pub fn told(&self) -> String {
        let has_lines = matches!(self, Self::Refused(_));
        visible_but(&self.to_string(), if has_lines { &['\n'] } else { &[] }).into_owned()
    }

    /// 1 if the system failed, 2 if what was asked for cannot be done, 3 if recordings cannot tell, 130 if interrupted (as shells count SIGINT).
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Write { error, .. }
                if !matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) =>
            {
                1
            }
            Self::Kit(KitFileError::Write { .. })
            | Self::NoRoom { .. }
            | Self::Window(_)
            | Self::Sound(_) => 1,
            Self::CannotTell(_) => 3,
            Self::Interrupted { .. } => 130,
            _ => 2,
        }
    }

    /// The same, where so many takes were finished before.
    pub fn after(self, takes: usize) -> Self {
        if let Self::Interrupted { .. } = self { Self::Interrupted { takes } } else { self }
    }

    pub fn input(path: &Path, problem: impl Into<String>) -> Self {
        Self::Input { path: path.to_owned(), problem: problem.into() }
    }

    pub fn write(path: &Path, error: io::Error) -> Self {
        if error.kind() == io::ErrorKind::AlreadyExists {
            return Self::Exists { path: path.to_owned(), option: "-o" };
        }
        Self::Write { path: path.to_owned(), error }
    }
}

/// With what would be read, and the option that would read it all the same.
impl From<SoundError> for Failure {
    fn from(error: SoundError) -> Self {
        let remedy =
            error.problem.remedy().map_or_else(String::new, |remedy| format!("; --allow-damaged {remedy}"));
        let accepted = error.accepted().map_or_else(String::new, |accepted| format!("; {accepted}"));
        Self::input(&error.path, format!("{}{remedy}{accepted}", error.problem))
    }
}

/// What an interrupted run leaves.
fn kept(takes: usize) -> String {
    match takes {
        0 => "nothing has been written".to_owned(),
        1 => "the first take is finished, nothing of the others has been written".to_owned(),
        _ => format!("the first {takes} takes are finished, nothing of the others has been written"),
    }
}

/// Bytes as a person reads them: `12.3 MB`.
#[expect(clippy::cast_precision_loss, reason = "to tenths of a megabyte")]
pub fn megabytes(bytes: u64) -> String {
    format!("{:.1} MB", bytes as f64 / 1e6)
}

/// What a feature needs from the system to be built.
fn packages(feature: &str) -> &'static str {
    if cfg!(target_os = "linux") && feature == "sound" {
        " (on Debian after: sudo apt-get install pkg-config libasound2-dev libjack-jackd2-dev)"
    } else {
        ""
    }
}
