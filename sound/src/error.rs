use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

/// Why a take cannot be read.
#[derive(Debug, Error)]
#[error("{}: {problem}{}", path.display(), behind(problem, *.audition))]
pub struct SoundError {
    /// Which take.
    pub path: PathBuf,
    /// What is wrong with it.
    pub problem: Problem,
    /// Whether it was to be heard only.
    pub(crate) audition: bool,
}

impl SoundError {
    pub(crate) fn new(path: &Path, audition: bool, problem: impl Into<Problem>) -> Self {
        Self { path: path.to_owned(), problem: problem.into(), audition }
    }

    /// What would have been read; of a sample that is no number the problem says it.
    #[must_use]
    pub fn accepted(&self) -> Option<&'static str> {
        accepted(&self.problem, self.audition)
    }
}

fn accepted(problem: &Problem, audition: bool) -> Option<&'static str> {
    match problem {
        Problem::NotFinite { .. } | Problem::Read(_) => None,
        _ if audition => Some(ACCEPTED_TO_HEAR),
        _ => Some(ACCEPTED),
    }
}

fn behind(problem: &Problem, audition: bool) -> String {
    accepted(problem, audition).map_or_else(String::new, |accepted| format!("; {accepted}"))
}

const ACCEPTED: &str = "accepted are WAV (RF64, BW64 and BWF too), AIFF, AIFC and FLAC files of 8- to 64-bit integers or 32- or \
                        64-bit floats, 1 to 64 channels, 8 to 384 kHz";

const ACCEPTED_TO_HEAR: &str = "accepted are WAV (RF64, BW64 and BWF too), AIFF, AIFC and FLAC files of 8- to 64-bit integers or 32- \
                                or 64-bit floats, and MP3, 1 to 64 channels, 8 to 384 kHz";

/// What is wrong with a take.
#[derive(Debug, Error)]
pub enum Problem {
    /// Of the file.
    #[error("cannot open it: {0}")]
    Open(io::Error),
    /// Of the file.
    #[error("cannot read it: {0}")]
    Read(#[from] io::Error),
    /// Standard input cannot be kept.
    #[error("cannot keep it in a temporary file: {0}")]
    Spool(io::Error),
    /// Of the file.
    #[error("it is a folder")]
    Folder,
    /// A pipe, a device.
    #[error("it is not a file that can be read twice (- reads from a pipe)")]
    NotAFile,
    /// Of the file.
    #[error("it is empty")]
    Empty,
    /// None of those that are known.
    #[error("it is no WAV, AIFF or FLAC file{}", if *.audition { ", and no MP3" } else { "" })]
    Unknown {
        /// Whether it was to be heard only.
        audition: bool,
    },
    /// A kind that is known by name.
    #[error("it is {0}, which is not read")]
    Foreign(&'static str),
    /// MP3 where a rendering is asked for.
    #[error(
        "it is MP3, which has thrown away part of the sound: it can be opened and heard, but not rendered"
    )]
    Lossy,
    /// The file ends in it.
    #[error("its header is truncated: the file ends before the data begins")]
    CutHeader,
    /// Of AIFF this may be behind the data.
    #[error("its format chunk is missing before the data")]
    NoFormat,
    /// AIFF.
    #[error("it has no {0} chunk")]
    NoChunk(&'static str),
    /// The least for WAV is 16, for AIFF 18.
    #[error("its format chunk has {bytes} bytes instead of {least} or more")]
    ShortFormat {
        /// There.
        bytes: u64,
        /// Needed.
        least: u64,
    },
    /// What is there is no chunk.
    #[error("there is no chunk where one should begin, at byte {0}")]
    Gap(u64),
    /// More than anybody has.
    #[error("it has more than {0} chunks")]
    Chunks(usize),
    /// By a library's or a standard's rules.
    #[error("its format chunk is not valid: {0}")]
    Format(String),
    /// A format tag, a subformat or a compression type.
    #[error("its codec ({0}) is not one that can be read")]
    Codec(String),
    /// Outside 1 to 64.
    #[error("it has {0} channels")]
    Channels(u16),
    /// Outside [`RATES_HZ`](crate::RATES_HZ), or no whole number.
    #[error("its sample rate is {0} Hz")]
    Rate(f64),
    /// No encoding has so many.
    #[error("its samples have {0} bits")]
    Bits(u32),
    /// Of WAV.
    #[error("{channels} channels do not fit in frames of {block} bytes")]
    Block {
        /// Of the header.
        channels: u16,
        /// Bytes of a frame.
        block: u16,
    },
    /// A recorder's power failed, or it wrote into a pipe.
    #[error("its header was never finished and gives no length")]
    Unfinished {
        /// There.
        frames: u64,
    },
    /// Less is there than its header says.
    #[error(
        "truncated: the header promises {promised} frames, {there} are there, so frame {there} (counted from 0) is the first \
         that is missing"
    )]
    Truncated {
        /// Frames.
        promised: u64,
        /// Frames.
        there: u64,
    },
    /// The data end within a frame.
    #[error("its data has {bytes} bytes, no whole number of frames of {frame_bytes} bytes")]
    PartialFrame {
        /// Of the data.
        bytes: u64,
        /// Of a frame.
        frame_bytes: u64,
    },
    /// Of FLAC and MP3.
    #[error("it cannot be read as {kind}: {reason}")]
    Stream {
        /// FLAC or MP3.
        kind: &'static str,
        /// The decoder's.
        reason: String,
    },
    /// Of FLAC and MP3.
    #[error("truncated or damaged: its header promises {promised} frames, {there} can be read")]
    Short {
        /// Frames.
        promised: u64,
        /// Frames.
        there: u64,
    },
    /// Of FLAC and MP3 that promise no length.
    #[error("it breaks off at frame {frame} (counted from 0): {reason}")]
    BreaksOff {
        /// The first that is missing.
        frame: u64,
        /// The decoder's.
        reason: String,
    },
    /// Of float.
    #[error(
        "the sample at frame {frame} (counted from 0) of channel {channel} is {value}: accepted are finite numbers"
    )]
    NotFinite {
        /// Of the file.
        frame: u64,
        /// Counted from one.
        channel: usize,
        /// NaN or an infinity.
        value: f64,
    },
}

impl Problem {
    /// What reading it all the same ([`Reading::salvage`](crate::Reading)) would do, where that helps.
    #[must_use]
    pub fn remedy(&self) -> Option<String> {
        match self {
            Self::Unfinished { frames } => Some(format!("processes the {frames} frames that are there")),
            Self::Truncated { .. } | Self::Short { .. } | Self::BreaksOff { .. } => {
                Some("processes what is there".to_owned())
            }
            Self::PartialFrame { .. } => Some("leaves out the rest".to_owned()),
            Self::NotFinite { .. } => Some("passes over it".to_owned()),
            _ => None,
        }
    }
}
