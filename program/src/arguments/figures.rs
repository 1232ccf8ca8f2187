//! Arguments of the commands that tell or draw figures.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::values::loss_to_accept;
use super::{SourceArguments, StringsArguments, WriteArguments};

#[derive(Debug, Args)]
pub struct TellArguments {
    #[command(flatten)]
    pub source: SourceArguments,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// Loss to accept, in dB, for the input to ask for: at the lowest string, of a magnetic pickup at its resonance
    #[arg(long, value_name = "DB", default_value_t = 1.0, value_parser = loss_to_accept, allow_hyphen_values = true)]
    pub max_loss: f64,
    /// Print JSON for scripts
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
pub struct CurveArguments {
    #[command(flatten)]
    pub source: SourceArguments,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// What is done to a take, in place of what each setup loses: the change from what it was recorded through
    #[arg(long)]
    pub change: bool,
    /// What the take was recorded through, such as 22M; none for an unloaded take
    #[arg(
        long = "recorded-through",
        alias = "through",
        value_name = "LOAD",
        requires = "change",
        allow_hyphen_values = true
    )]
    pub through: Option<String>,
    /// The most boost that any change may apply, in dB, or off
    #[arg(long, value_name = "DB", default_value = "24", requires = "change", allow_hyphen_values = true)]
    pub undo_ceiling: String,
    /// Let a change that lifts the lows come down again, at this part of the lowest string's frequency (0.1 to 0.5, second order); or off
    #[arg(long, value_name = "PART", default_value = "off", requires = "change", allow_hyphen_values = true)]
    pub undo_floor: String,
    /// The picture, .svg or .png, or the figures, .csv; - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// What is drawn, where the name of the output does not say it: SVG unless given
    #[arg(long, value_name = "KIND", value_enum)]
    pub format: Option<PictureArgument>,
    #[command(flatten)]
    pub write: WriteArguments,
}

/// What curves become.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PictureArgument {
    /// A picture of lines
    Svg,
    /// A picture of pixels
    Png,
    /// A table
    Csv,
}
