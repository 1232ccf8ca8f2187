//! Arguments of `firstjack into-amp`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use firstjack_words::Language;

use super::values::part_tolerance;
use super::{
    PartArguments, ReportArguments, SampleFormatArgument, SourceArguments, StringsArguments, TakesArguments,
    WriteArguments,
};

/// How the load gets into what is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WayArgument {
    /// The load is in the file
    File,
    /// A real capacitor in place of the pickup, which the amplifier loads
    Capacitor,
}

#[derive(Debug, Args)]
pub struct IntoAmpArguments {
    #[command(flatten)]
    pub takes: TakesArguments,
    #[command(flatten)]
    pub source: SourceArguments,
    #[command(flatten)]
    pub strings: StringsArguments,
    #[command(flatten)]
    pub part: PartArguments,
    /// Which way the rendering is for
    #[arg(long, value_name = "WAY", value_enum, default_value = "file")]
    pub way: WayArgument,
    /// The rendering, in the format of its ending (.wav, .flac, .aif); without it nothing is rendered
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// One page with wiring, values, levels, the order of steps and cautions, .pdf or .html
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// Language of the sheet; names stay as they are
    #[arg(long, value_name = "LANGUAGE", value_enum, default_value_t)]
    pub language: Language,
    /// An audio interface of your kit, with its levels and its output's resistance
    #[arg(long, value_name = "NAME")]
    pub interface: Option<String>,
    /// What 0 dBFS is at the input that recorded: '10 dBu', or as a sine and a voltmeter say it, '0.5 V at -14.2 dBFS'
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub in_dbu_at_full_scale: Option<String>,
    /// What 0 dBFS is at the output that plays, or behind the isolating box that it feeds: '18 dBu', or '0.61 V at -20 dBFS'
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub out_dbu_at_full_scale: Option<String>,
    /// Resistance of that output, or of the isolating box; 100 Ω unless given
    #[arg(long, value_name = "RESISTANCE", allow_hyphen_values = true)]
    pub output_resistance: Option<String>,
    /// What the capacitor may be off its value, in per cent
    #[arg(long, value_name = "PERCENT", default_value = "5", value_parser = part_tolerance, allow_hyphen_values = true)]
    pub capacitor_tolerance: f64,
    /// No pad, however hot the output is
    #[arg(long)]
    pub no_pad: bool,
    /// The most boost that any change may apply, in dB, or off
    #[arg(long, value_name = "DB", default_value = "24", allow_hyphen_values = true)]
    pub undo_ceiling: String,
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
