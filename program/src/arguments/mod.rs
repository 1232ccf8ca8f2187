//! What can be typed.

mod examples;
mod figures;
mod groups;
mod guided;
mod kit;
pub mod measure;
mod page;
mod reamp;
mod render;
mod undo;
mod usage;
mod values;
pub mod window;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use examples::*;
pub use figures::{CurveArguments, PictureArgument, TellArguments};
pub use groups::{
    CrewArguments, HeardArguments, KitFileArguments, PartArguments, PickupArguments, ReportArguments,
    SourceArguments, StringsArguments, TakesArguments, WriteArguments,
};
#[cfg_attr(not(feature = "sound"), expect(unused_imports, reason = "this build cannot guide"))]
pub use guided::{GuidedArguments, GuidedKind};
pub use kit::{KindArgument, KitArguments, KitCommand};
pub use measure::MeasureArguments;
pub use page::{
    AudioArgument, NoteArguments, NoteKindArgument, PackArguments, RescueArguments, VotesArguments,
};
pub use reamp::{IntoAmpArguments, WayArgument};
pub use render::{EndArgument, RenderArguments, SampleFormatArgument};
pub use undo::UndoArguments;
use usage::*;
pub use values::number_of;
pub use window::{LiveArguments, OpenArguments};

/// Hear a take through another load, and know what a pickup loses before anyone plugs in.
///
/// A pickup on an acoustic instrument is a small capacitor: the first input it is plugged into, and all that stands in parallel
/// before the first buffer, make a high-pass. A magnetic pickup is a coil, and loses its top there. Values are written as the trade writes them: 470k, 2M2, 4.7 MΩ, 680p, 1n5, 6 m
/// (of cable), joined by || where they stand in parallel. Any of them may carry a tolerance, 680p ±30 % (or +-30%, or a letter of IEC 60062
/// behind a code, 4k7K), or be anything between two ends, '470p to 4.7n'; then figures are told as ranges.
#[derive(Debug, Parser)]
#[command(version, bin_name = "firstjack", max_term_width = 100, disable_help_subcommand = true)]
pub struct Firstjack {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Tell what a pickup loses into a load, string by string, and which input to ask for
    #[command(override_usage = USAGE_TELL, after_help = EXAMPLES_TELL)]
    Tell(TellArguments),
    /// Render a take as it would have been recorded through another load
    #[command(override_usage = USAGE_RENDER, after_help = EXAMPLES_RENDER)]
    Render(RenderArguments),
    /// Draw the loss curves of one or more loads as SVG or PNG, or write them as CSV
    #[command(override_usage = USAGE_CURVE, after_help = EXAMPLES_CURVE)]
    Curve(CurveArguments),
    /// Pack a take and its setups into one page to hear, vote on and take to the venue
    #[command(override_usage = USAGE_PACK, after_help = EXAMPLES_PACK)]
    Pack(Box<PackArguments>),
    /// Write one page for the crew as PDF or HTML: verdict, input to ask for, order of boxes, cable
    #[command(override_usage = USAGE_NOTE, after_help = EXAMPLES_NOTE)]
    Note(NoteArguments),
    /// Render a take to be played into a real amplifier (re-amping), and write the sheet for it: wiring, values, levels
    #[command(override_usage = USAGE_INTO_AMP, after_help = EXAMPLES_INTO_AMP, mut_arg("load", |load| load.long("into").alias("load")))]
    IntoAmp(Box<IntoAmpArguments>),
    /// Tell what a desk's equaliser can put back of what a setup takes, and what it leaves wrong
    #[command(override_usage = USAGE_RESCUE, after_help = EXAMPLES_RESCUE)]
    Rescue(RescueArguments),
    /// Find out what a pickup or an input is, with an audio interface and one resistor
    #[command(after_help = EXAMPLES_MEASURE)]
    Measure(Box<MeasureArguments>),
    /// Open a take in a window: hear it through setups, with curves, strings and a loop
    #[command(hide = !cfg!(feature = "window"), after_help = EXAMPLES_OPEN)]
    Open(OpenArguments),
    /// Hear an input live through setups, in a window
    #[command(hide = !cfg!(feature = "sound"), after_help = EXAMPLES_LIVE)]
    Live(LiveArguments),
    /// Tell what listeners' answers to a page come to: who can hear what, and what is liked best
    #[command(after_help = EXAMPLES_VOTES)]
    Votes(VotesArguments),
    /// Write a file of setups to start from, full of comments; nothing is replaced
    #[command(after_help = EXAMPLES_NEW)]
    New(NewArguments),
    /// List, show, change and check your kit: pickups and boxes of your own, by names of your own
    #[command(after_help = EXAMPLES_KIT)]
    Kit(KitArguments),
    /// List the instruments and kinds of pickup that are known
    List,
    /// Print a completion script for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
    /// Print this, the help of a command, or how files of setups are written (help setups)
    Help {
        /// A command, or setups
        topic: Option<String>,
    },
}

#[derive(Debug, Args)]
pub struct NewArguments {
    /// The file, such as venue.toml; - for standard output
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Also write setups.schema.json beside it, by which editors of TOML check it
    #[arg(long)]
    pub schema: bool,
}
