//! What can be typed.

mod examples;
mod page;
pub mod window;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::output::Input;
use examples::*;
pub use page::{AudioArgument, NoteArguments, PackArguments, RescueArguments, VotesArguments};
pub use window::{LiveArguments, OpenArguments};

/// Hear a take through another load, and know what a pickup loses before anyone plugs in.
///
/// A pickup on an acoustic instrument is a small capacitor: the first input it is plugged into, and all that stands in parallel
/// before the first buffer, make a high-pass. A magnetic pickup is a coil, and loses its top there. Values are written as the trade writes them: 470k, 2M2, 4.7 MΩ, 680p, 1n5, 6 m
/// (of cable), joined by || where they stand in parallel. Any of them may carry a tolerance, 680p ±30 % (or +-30%, or a letter of IEC 60062
/// behind a code, 4k7K); then figures are told as ranges.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100)]
pub struct Firstjack {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Tell what a pickup loses into a load, string by string, and which input to ask for
    #[command(after_help = EXAMPLES_TELL)]
    Tell(TellArguments),
    /// Render a take as it would have been recorded through another load
    #[command(after_help = EXAMPLES_RENDER)]
    Render(RenderArguments),
    /// Draw the loss curves of one or more loads as SVG or PNG, or write them as CSV
    #[command(after_help = EXAMPLES_CURVE)]
    Curve(CurveArguments),
    /// Pack a take and its setups into one page to hear, vote on and take to the venue
    #[command(after_help = EXAMPLES_PACK)]
    Pack(Box<PackArguments>),
    /// Write one page for the crew as PDF or HTML: verdict, input to ask for, order of boxes, cable
    #[command(after_help = EXAMPLES_NOTE)]
    Note(NoteArguments),
    /// Tell what a desk's equaliser can put back of what a setup takes, and what it leaves wrong
    #[command(after_help = EXAMPLES_RESCUE)]
    Rescue(RescueArguments),
    /// Open a take in a window: hear it through setups, with curves, strings and a loop
    #[command(after_help = EXAMPLES_OPEN)]
    Open(OpenArguments),
    /// Hear an input live through setups, in a window
    #[command(after_help = EXAMPLES_LIVE)]
    Live(LiveArguments),
    /// Tell what listeners' answers to a page come to: who can hear what, and what is liked best
    #[command(after_help = EXAMPLES_VOTES)]
    Votes(VotesArguments),
    /// List the instruments and kinds of pickup that are known
    List,
    /// Print a completion script for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

#[derive(Debug, Args)]
#[group(id = "source", required = true, multiple = true, args = ["pickup", "coil", "setups"])]
pub struct SourceArguments {
    /// Capacitance of the pickup, such as 680p or 1n5
    #[arg(long, value_name = "CAPACITANCE", allow_hyphen_values = true)]
    pub pickup: Option<String>,
    /// Leakage resistance across the pickup, if it has one
    #[arg(
        long,
        value_name = "RESISTANCE",
        requires = "pickup",
        conflicts_with = "coil",
        allow_hyphen_values = true
    )]
    pub leakage: Option<String>,
    /// Inductance of a magnetic pickup, such as '4.7 H', instead of --pickup
    #[arg(
        long,
        value_name = "INDUCTANCE",
        conflicts_with = "pickup",
        requires = "coil_resistance",
        allow_hyphen_values = true
    )]
    pub coil: Option<String>,
    /// Resistance of its coil, such as 8k2
    #[arg(long, value_name = "RESISTANCE", requires = "coil", allow_hyphen_values = true)]
    pub coil_resistance: Option<String>,
    /// Capacitance of its winding, such as 120p
    #[arg(long, value_name = "CAPACITANCE", requires = "coil", allow_hyphen_values = true)]
    pub winding: Option<String>,
    /// Losses of its core and cover, as a resistance across the inductance, such as 470k; without it the resonance is higher
    /// than a real one
    #[arg(long, value_name = "RESISTANCE", requires = "coil", allow_hyphen_values = true)]
    pub coil_loss: Option<String>,
    /// A file of setups (TOML), instead of --load
    #[arg(long, value_name = "FILE", conflicts_with = "load")]
    pub setups: Option<PathBuf>,
}

impl SourceArguments {
    /// What a run reads of it.
    pub fn inputs(&self) -> impl Iterator<Item = Input<'_>> {
        self.setups.iter().map(|path| Input { path, is: "the file of setups" })
    }
}

/// Takes as what a run reads.
pub fn takes(paths: &[PathBuf]) -> impl Iterator<Item = Input<'_>> {
    paths.iter().map(|path| Input { path, is: "the take" })
}

#[derive(Debug, Args)]
pub struct StringsArguments {
    /// Whose strings to look at (firstjack list shows all); double bass unless a file of setups says otherwise
    #[arg(long, value_name = "NAME")]
    pub instrument: Option<String>,
    /// A tuning of your own, such as 'A1 D2 G2'
    #[arg(long, value_name = "PITCHES", conflicts_with = "instrument")]
    pub strings: Option<String>,
    /// Frequency of A4 in Hz
    #[arg(long, value_name = "HZ", default_value_t = dsp_core::units::Pitch::CONCERT_HZ, value_parser = concert_pitch,
          allow_hyphen_values = true)]
    pub a4: f64,
}

#[derive(Debug, Args)]
pub struct TellArguments {
    #[command(flatten)]
    pub source: SourceArguments,
    /// What the pickup is plugged into, such as '470k || 1M || 6 m', or none
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub load: Option<String>,
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
    /// A load to draw; may be given several times
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub load: Vec<String>,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// The picture, .svg or .png, or the figures, .csv
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Replace the output if it exists
    #[arg(long)]
    pub overwrite: bool,
}

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
    /// The take: a WAV, AIFF or FLAC file, or - for standard input; two for a blend, one for each pickup
    #[arg(value_name = "TAKE", required = true, num_args = 1..=2)]
    pub takes: Vec<PathBuf>,
    #[command(flatten)]
    pub source: SourceArguments,
    /// What the take was recorded through, such as 22M; none for an unloaded take
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub through: Option<String>,
    /// What to hear it through; none to undo
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub load: Option<String>,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// Hear one end of the tolerances instead of the middle: of each setup the values, within them, with which it loses least (low) or most
    /// (high) at the lowest string, against what the take was recorded through
    #[arg(long, value_name = "END", value_enum)]
    pub at: Option<EndArgument>,
    /// The rendering, in the format of its ending (.wav, .flac, .aif); with --setups a folder for one file a setup
    #[arg(short, long, value_name = "PATH")]
    pub output: PathBuf,
    /// Sum the two pickups of a blend to one channel, instead of one channel each
    #[arg(long)]
    pub sum: bool,
    /// Leave levels as the loads make them, instead of matching loudness (ITU-R BS.1770) to the take's
    #[arg(long)]
    pub no_match: bool,
    /// The most boost that undoing may apply, in dB, or off
    #[arg(long, value_name = "DB", default_value = "24", allow_hyphen_values = true)]
    pub undo_ceiling: String,
    /// Do not fade out on a runaway or non-finite signal
    #[arg(long)]
    pub no_guard: bool,
    /// Sample format of the rendering
    #[arg(long, value_name = "FORMAT", value_enum, default_value = "same")]
    pub sample_format: SampleFormatArgument,
    /// Process what is there of a truncated take, and pass over samples that are not numbers
    #[arg(long)]
    pub salvage: bool,
    /// Replace outputs that exist
    #[arg(long)]
    pub overwrite: bool,
    /// No progress bar and no report
    #[arg(short, long, conflicts_with = "json")]
    pub quiet: bool,
    /// Print the report as JSON
    #[arg(long)]
    pub json: bool,
}

fn concert_pitch(text: &str) -> Result<f64, String> {
    let hz = number_of(text, "Hz").filter(|hz| (100.0..=1000.0).contains(hz));
    hz.ok_or_else(|| "accepted are 100 to 1000 Hz".to_owned())
}

fn loss_to_accept(text: &str) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| *db > 0.0 && *db <= 60.0);
    db.ok_or_else(|| "accepted are more than 0 and at most 60 dB".to_owned())
}

/// Reads a number that its unit may follow, in any case: `24`, `24 dB`.
pub fn number_of(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    text.strip_suffix(&unit.to_lowercase()).unwrap_or(&text).trim().parse().ok()
}
