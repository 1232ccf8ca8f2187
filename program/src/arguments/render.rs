//! Arguments of `firstjack render`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{
    PartArguments, ReportArguments, SourceArguments, StringsArguments, TakesArguments, UndoArguments,
    WriteArguments,
};

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SampleFormatArgument {
    /// As in the take
    Same,
    /// 16-bit integer, dithered
    #[value(name = "16")]
    Int16,
    /// 24-bit integer
    #[value(name = "24")]
    Int24,
    /// 32-bit integer
    #[value(name = "32")]
    Int32,
    /// 32-bit float
    Float,
}

/// An end of what tolerances leave open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum EndArgument {
    /// Least is lost
    Low,
    /// Most is lost
    High,
}

#[derive(Debug, Args)]
pub struct RenderArguments {
    #[command(flatten)]
    pub takes: TakesArguments,
    #[command(flatten)]
    pub source: SourceArguments,
    #[command(flatten)]
    pub strings: StringsArguments,
    #[command(flatten)]
    pub part: PartArguments,
    /// Hear one end of the tolerances instead of the middle: of each setup the values, within them, with which it loses least (low) or most
    /// (high) at the lowest string, against what the take was recorded through
    #[arg(long, value_name = "END", value_enum)]
    pub at: Option<EndArgument>,
    /// The rendering, in the format of its ending (.wav, .flac, .aif), or - for standard output; of several setups, loads or takes a folder with a file for each
    #[arg(short, long, value_name = "PATH")]
    pub output: PathBuf,
    /// Sum the two pickups of a blend to one channel, instead of one channel each
    #[arg(long)]
    pub sum: bool,
    /// Leave levels as the loads make them, instead of matching loudness (ITU-R BS.1770) to the take's
    #[arg(long)]
    pub no_match: bool,
    #[command(flatten)]
    pub undo: UndoArguments,
    /// Do not fade out on a runaway or non-finite signal
    #[arg(long)]
    pub no_guard: bool,
    /// Sample format of the rendering
    #[arg(long, value_name = "FORMAT", value_enum, default_value = "same")]
    pub sample_format: SampleFormatArgument,
    #[command(flatten)]
    pub write: WriteArguments,
    #[command(flatten)]
    pub report: ReportArguments,
}
