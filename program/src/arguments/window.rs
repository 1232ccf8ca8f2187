//! Arguments of the commands that open a window.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::values::zoom;
use super::{KitFileArguments, PartArguments};

#[derive(Debug, Args)]
pub struct OpenArguments {
    /// The take: a WAV, AIFF, FLAC or MP3 file; - reads from standard input
    #[arg(value_name = "TAKE")]
    pub take: PathBuf,
    /// A file of setups (TOML); the courtyard's, unless given
    #[arg(long, value_name = "FILE")]
    pub setups: Option<PathBuf>,
    #[command(flatten)]
    pub kit: KitFileArguments,
    /// Only this setup of the file; may be given several times
    #[arg(long, value_name = "NAME", requires = "setups")]
    pub setup: Vec<String>,
    /// Only what this venue offers: its own setups and those of no venue
    #[arg(long, value_name = "NAME", requires = "setups")]
    pub venue: Option<String>,
    #[command(flatten)]
    pub part: PartArguments,
    /// Open what is there of a truncated take, and samples that are not numbers as silence
    #[arg(long, alias = "salvage")]
    pub allow_damaged: bool,
    /// How much larger than the system's size everything is drawn
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0, value_parser = zoom, allow_hyphen_values = true)]
    pub zoom: f32,
    /// Write a picture of the window (PNG) and close it, for the project's own pictures
    #[arg(long, value_name = "FILE", hide = true)]
    pub screenshot: Option<PathBuf>,
    /// What stands beside the setups as it opens, for the same
    #[arg(long, value_name = "PAGE", hide = true, default_value = "curves", value_parser = ["curves", "strings", "blind"])]
    pub page: String,
    /// Light or dark, whatever the system says
    #[arg(long, value_enum)]
    pub theme: Option<Theme>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Theme {
    /// Dark text on light ground
    Light,
    /// Light text on dark ground
    Dark,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Backend {
    /// JACK if its server runs, or else the system's own
    Auto,
    /// A JACK server that runs
    Jack,
    /// ALSA
    #[cfg(all(unix, not(target_os = "macos")))]
    Alsa,
    /// Core Audio
    #[cfg(target_os = "macos")]
    CoreAudio,
    /// WASAPI
    #[cfg(windows)]
    Wasapi,
    /// No sound: only the window
    Dummy,
}

#[derive(Debug, Args)]
pub struct LiveArguments {
    /// Where sound comes from and goes to
    #[arg(long, value_enum, default_value = "auto")]
    pub backend: Backend,
    /// Sample rate in Hz (not with JACK)
    #[arg(long, value_name = "HZ", default_value_t = 48_000, value_parser = clap::value_parser!(u32).range(8_000..=384_000))]
    pub rate: u32,
    /// Frames in one buffer (not with JACK)
    #[arg(long, value_name = "FRAMES", default_value_t = 256, value_parser = clap::value_parser!(u32).range(16..=8_192))]
    pub buffer: u32,
    /// Device for input (not with JACK); none is connected unless given
    #[arg(long, value_name = "DEVICE")]
    pub input: Option<String>,
    /// Device for output (not with JACK); the system's default unless given
    #[arg(long, value_name = "DEVICE")]
    pub output: Option<String>,
    /// JACK ports to connect the inputs to, separated by commas
    #[arg(long, value_name = "PORTS")]
    pub connect: Option<String>,
    /// One channel instead of two
    #[arg(long)]
    pub mono: bool,
}
