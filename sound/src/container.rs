use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::{Encoding, Format, Metadata, STANDARD_INPUT, sink};

/// What a rendering is put in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Container {
    /// RIFF, or RF64 where it would have more than 4 GiB.
    Wav,
    /// AIFF; AIFC for floats.
    Aiff,
    /// FLAC.
    Flac,
}

/// Why something cannot be put in a container.
#[derive(Debug, Error, PartialEq, Eq)]
pub enum Unfit {
    /// No container has names like this.
    #[error(
        "{}: there is no format for this name: accepted are names ending in .wav, .wave, .bwf, .flac, .aif, .aiff or .aifc",
        .0.display()
    )]
    Name(PathBuf),
    /// FLAC is written of integers of up to 24 bits, AIFF of all but integers of 64 bits.
    #[error("{name} files do not hold samples of {encoding}")]
    Encoding {
        /// Of the container.
        name: &'static str,
        /// What does not fit.
        encoding: Encoding,
    },
    /// FLAC has 8.
    #[error("{name} files hold at most {most} channels, these are {channels}")]
    Channels {
        /// Of the container.
        name: &'static str,
        /// Of the rendering.
        channels: u16,
        /// Of the container.
        most: u16,
    },
    /// AIFF ends at 4 GiB, FLAC at 2^36 frames.
    #[error("the rendering would have {length} {unit}; {name} files hold at most {most}")]
    Length {
        /// Of the container.
        name: &'static str,
        /// Of the rendering.
        length: u64,
        /// Of the container.
        most: u64,
        /// Bytes or frames.
        unit: &'static str,
    },
}

/// RFC 9639, 8.2.
const MOST_FLAC_FRAMES: u64 = (1 << 36) - 1;

/// RFC 9639, 9.1.3.
const MOST_FLAC_CHANNELS: u16 = 8;

impl Container {
    /// By the ending of a name, in upper or lower case; `-` (standard output) is WAV.
    ///
    /// # Errors
    /// For any other name.
    pub fn of(path: &Path) -> Result<Self, Unfit> {
        if path == Path::new(STANDARD_INPUT) {
            return Ok(Self::Wav);
        }
        let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
        match ending.as_deref() {
            Some("wav" | "wave" | "bwf") => Ok(Self::Wav),
            Some("aif" | "aiff" | "aifc") => Ok(Self::Aiff),
            Some("flac") => Ok(Self::Flac),
            _ => Err(Unfit::Name(path.to_owned())),
        }
    }

    /// As sentences call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Wav => "WAV",
            Self::Aiff => "AIFF",
            Self::Flac => "FLAC",
        }
    }

    /// Refuses what does not fit. What of the metadata does not is no reason: [`Metadata::left_behind`] names it.
    ///
    /// # Errors
    /// If the encoding, the channels or the length do not.
    pub fn check(self, format: Format, frames: u64, metadata: &Metadata) -> Result<(), Unfit> {
        let name = self.name();
        let encoding = format.encoding;
        let holds = match self {
            Self::Wav => true,
            Self::Aiff => encoding != Encoding::Int64,
            // Of 32 bits most players read none.
            Self::Flac => matches!(encoding, Encoding::Int8 | Encoding::Int16 | Encoding::Int24),
        };
        if !holds {
            return Err(Unfit::Encoding { name, encoding });
        }
        if self == Self::Flac && format.channels > MOST_FLAC_CHANNELS {
            return Err(Unfit::Channels { name, channels: format.channels, most: MOST_FLAC_CHANNELS });
        }
        let (length, most, unit) = match self {
            Self::Wav => return Ok(()),
            Self::Aiff => (self.bytes(format, frames, metadata), u32::MAX.into(), "bytes"),
            Self::Flac => (frames, MOST_FLAC_FRAMES, "frames"),
        };
        if length > most { Err(Unfit::Length { name, length, most, unit }) } else { Ok(()) }
    }

    /// How long a file will be, in bytes; of FLAC, which is mostly shorter, what its samples would be as they are.
    #[must_use]
    pub fn bytes(self, format: Format, frames: u64, metadata: &Metadata) -> u64 {
        match self {
            Self::Aiff => sink::aiff_bytes(format, frames, metadata),
            Self::Wav | Self::Flac => sink::wav_bytes(format, frames, metadata),
        }
    }
}
