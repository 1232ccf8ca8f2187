//! Takes from files, told apart by what is in them.

mod aiff;
mod flac;
mod kind;
#[cfg(feature = "mp3")]
mod mp3;
mod packed;
mod stream;
mod wav;

use std::fs::{self, File};
use std::io::{self, Read, Seek};
use std::path::{Path, PathBuf};

pub use kind::Kind;
pub(crate) use wav::{EXTENSIBLE, SUBFORMAT};

use crate::input::Input;
use crate::{Format, Metadata, Problem, SoundError};
use packed::Packed;
use stream::Stream;

/// The name that stands for standard input.
pub const STANDARD_INPUT: &str = "-";

/// How a take is to be read.
#[derive(Debug, Clone, Copy, Default)]
pub struct Reading {
    /// A truncated take is read as far as it goes, and samples that are not finite are handed on.
    pub salvage: bool,
    /// The take is to be heard only, so that MP3 will do.
    pub audition: bool,
}

/// A take that is being read.
pub struct Source {
    path: PathBuf,
    kind: Kind,
    body: Body,
    format: Format,
    metadata: Metadata,
    reading: Reading,
    truncated: bool,
    /// The file's frame that is the first here.
    first: u64,
    frames: u64,
    next_frame: u64,
    salvaged: u64,
}

/// Where samples come from.
enum Body {
    Packed(Packed),
    Stream(Box<dyn Stream>),
}

/// What a reader of one kind finds.
struct Opened {
    body: Body,
    format: Format,
    metadata: Metadata,
    frames: u64,
    /// What is wrong with it, if that can be read over.
    problem: Option<Problem>,
}

impl Source {
    /// Opens a take and checks that all of it is there as far as that can be told without decoding it; `-` is standard input,
    /// which is first read to its end into a temporary file.
    ///
    /// # Errors
    /// If it is no take that can be read, is not whole (but with [`Reading::salvage`]), or is no regular file; a pipe that is
    /// named is not even opened.
    pub fn open(path: &Path, reading: Reading) -> Result<Self, SoundError> {
        if path == Path::new(STANDARD_INPUT) {
            return Self::piped(io::stdin().lock(), reading);
        }
        let refuse = |problem| SoundError::new(path, reading.audition, problem);
        let kind = fs::metadata(path).map_err(|error| refuse(Problem::Open(error)))?;
        if kind.is_dir() {
            return Err(refuse(Problem::Folder));
        }
        if !kind.is_file() {
            return Err(refuse(Problem::NotAFile));
        }
        let file = File::open(path).map_err(|error| refuse(Problem::Open(error)))?;
        Self::from_reader(path, file, reading)
    }

    /// Reads a take from a pipe, whose header may be without lengths.
    ///
    /// # Errors
    /// As for [`Source::open`]; or if there is no room for a temporary file.
    pub fn piped(mut from: impl Read, reading: Reading) -> Result<Self, SoundError> {
        let path = Path::new("standard input");
        let mut spool = || {
            let mut file = tempfile::tempfile()?;
            io::copy(&mut from, &mut file)?;
            Ok(file)
        };
        let refuse = |problem| SoundError::new(path, reading.audition, problem);
        let file = spool().map_err(|error| refuse(Problem::Spool(error)))?;
        Self::new(path, file, reading, true).map_err(refuse)
    }

    /// Reads a take from anything that can be read twice; `path` is what errors call it.
    ///
    /// # Errors
    /// If it is no take that can be read, or is not whole (but with [`Reading::salvage`]).
    pub fn from_reader(
        path: &Path,
        reader: impl Read + Seek + Send + 'static,
        reading: Reading,
    ) -> Result<Self, SoundError> {
        let refuse = |problem| SoundError::new(path, reading.audition, problem);
        Self::new(path, reader, reading, false).map_err(refuse)
    }

    fn new(
        path: &Path,
        reader: impl Read + Seek + Send + 'static,
        reading: Reading,
        piped: bool,
    ) -> Result<Self, Problem> {
        let mut input = Input::new(reader)?;
        let (kind, start) = Kind::of(&mut input, reading.audition)?;
        let Opened { body, format, metadata, frames, problem } = match kind {
            Kind::Wav => wav::open(input)?,
            Kind::Aiff => aiff::open(input)?,
            Kind::Flac => flac::open(input, start, reading.salvage)?,
            Kind::Mp3 if !reading.audition => return Err(Problem::Lossy),
            #[cfg(feature = "mp3")]
            Kind::Mp3 => mp3::open(input)?,
            #[cfg(not(feature = "mp3"))]
            Kind::Mp3 => return Err(Problem::Foreign("MP3")),
        };
        // Who writes into a pipe does not know the length.
        let problem = problem.filter(|problem| !(piped && matches!(problem, Problem::Unfinished { .. })));
        let truncated = problem.is_some();
        if let Some(problem) = problem.filter(|_| !reading.salvage) {
            return Err(problem);
        }
        let mut source = Self {
            path: path.to_owned(),
            kind,
            body,
            format,
            metadata,
            reading,
            truncated,
            first: 0,
            frames,
            next_frame: 0,
            salvaged: 0,
        };
        source.start()?;
        Ok(source)
    }

    /// What it is.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// What it is made of. An MP3 has no encoding of its own; it is decoded to 32-bit floats.
    #[must_use]
    pub fn format(&self) -> Format {
        self.format
    }

    /// How many can be read.
    #[must_use]
    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// What a session knows it by; moved along with [`Source::cut`].
    #[must_use]
    pub fn metadata(&self) -> &Metadata {
        &self.metadata
    }

    /// Whether less is there than its header says.
    #[must_use]
    pub fn is_truncated(&self) -> bool {
        self.truncated
    }

    /// How many samples that are not finite were read since the last [`Source::rewind`].
    #[must_use]
    pub fn salvaged(&self) -> u64 {
        self.salvaged
    }

    /// Leaves only `frames` frames from `from` on, which must be there; [`Source::rewind`] goes to the first of them.
    pub fn cut(&mut self, from: u64, frames: u64) {
        self.metadata.cut(from, frames);
        self.first += from;
        self.frames = frames;
    }

    /// Goes to the first frame.
    ///
    /// # Errors
    /// If it cannot be read.
    pub fn rewind(&mut self) -> Result<(), SoundError> {
        self.start().map_err(|problem| SoundError::new(&self.path, self.reading.audition, problem))
    }

    fn start(&mut self) -> Result<(), Problem> {
        self.next_frame = 0;
        self.salvaged = 0;
        match &mut self.body {
            Body::Packed(packed) => {
                packed.go_to(self.first);
                Ok(())
            }
            Body::Stream(stream) => stream.go_to(self.first),
        }
    }

    /// Reads up to `most` frames into `channels`, which are resized to what was read; false at the end. With fewer vectors than
    /// channels the rest is passed over.
    ///
    /// # Errors
    /// If it cannot be read, or a sample is not finite (but with [`Reading::salvage`]).
    pub fn read(&mut self, channels: &mut [Vec<f64>], most: usize) -> Result<bool, SoundError> {
        let refuse = |problem| SoundError::new(&self.path, self.reading.audition, problem);
        let left = usize::try_from(self.frames - self.next_frame).unwrap_or(usize::MAX);
        let frames = left.min(most);
        channels.iter_mut().for_each(Vec::clear);
        match &mut self.body {
            Body::Packed(packed) => packed.read(channels, frames).map_err(refuse)?,
            Body::Stream(stream) => stream::read(stream.as_mut(), channels, frames).map_err(refuse)?,
        }
        if self.format.encoding.is_float() {
            self.check_finite(channels)?;
        }
        self.next_frame += frames as u64;
        Ok(frames > 0)
    }

    fn check_finite(&mut self, channels: &[Vec<f64>]) -> Result<(), SoundError> {
        for (index, channel) in channels.iter().enumerate() {
            if channel.iter().all(|value| value.is_finite()) {
                continue;
            }
            let mut bad = channel.iter().enumerate().filter(|(_, value)| !value.is_finite());
            if self.reading.salvage {
                self.salvaged += bad.count() as u64;
            } else if let Some((frame, value)) = bad.next() {
                let frame = self.first + self.next_frame + frame as u64;
                let problem = Problem::NotFinite { frame, channel: index + 1, value: *value };
                return Err(SoundError::new(&self.path, self.reading.audition, problem));
            }
        }
        Ok(())
    }
}

/// What is wrong with the data's length in bytes, `promised` by the header (if it is) and `there`.
fn length_problem(promised: Option<u64>, there: u64, frame_bytes: u64) -> Option<Problem> {
    let frames = there / frame_bytes;
    match promised {
        None => Some(Problem::Unfinished { frames }),
        Some(bytes) if bytes > there => {
            Some(Problem::Truncated { promised: bytes / frame_bytes, there: frames })
        }
        // Some writers count the byte of padding in.
        Some(bytes) if bytes % 2 == 0 && bytes % frame_bytes == 1 => None,
        Some(bytes) if bytes % frame_bytes != 0 => Some(Problem::PartialFrame { bytes, frame_bytes }),
        Some(_) => None,
    }
}
