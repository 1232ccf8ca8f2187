//! Arguments of `firstjack measure`.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use firstjack_words::Language;

use super::examples::*;
use super::guided::GuidedArguments;
use super::usage::*;
use super::values::{hertz, meter_error, sweep_level, sweep_rate};
use super::{KitFileArguments, NoteKindArgument, ReportArguments, WriteArguments};

#[derive(Debug, Args)]
pub struct MeasureArguments {
    #[command(subcommand)]
    pub command: MeasureCommand,
}

#[derive(Debug, Subcommand)]
pub enum MeasureCommand {
    /// Write one page that shows how to build and use the measuring lead, as PDF or HTML
    #[command(override_usage = USAGE_MEASURE_LEAD, after_help = EXAMPLES_MEASURE_LEAD)]
    Lead(LeadArguments),
    /// Write the test sound, three sweeps with silence between, to be played into the measuring lead
    #[command(override_usage = USAGE_MEASURE_SWEEP, after_help = EXAMPLES_MEASURE_SWEEP)]
    Sweep(SweepArguments),
    /// Find a pickup's capacitance, and the input that it is measured through, from three recordings of the test sound
    #[command(override_usage = USAGE_MEASURE_PICKUP, after_help = EXAMPLES_MEASURE_PICKUP)]
    Pickup(MeasurePickupArguments),
    /// Find a box's input from two recordings of the test sound through it
    #[command(override_usage = USAGE_MEASURE_BOX, after_help = EXAMPLES_MEASURE_BOX)]
    Box(MeasureBoxArguments),
    /// Find a magnetic pickup's inductance, resistance, losses and winding from three recordings of the test sound
    #[command(override_usage = USAGE_MEASURE_COIL, after_help = EXAMPLES_MEASURE_COIL)]
    Coil(MeasureCoilArguments),
    /// Find a pickup, or with --known-pickup an input, from held notes while a known part is switched in and out
    #[command(override_usage = USAGE_MEASURE_TOGGLE, after_help = EXAMPLES_MEASURE_TOGGLE)]
    Toggle(ToggleArguments),
    /// Find a pickup from rubbing the top while a known part is switched in and out
    #[command(override_usage = USAGE_MEASURE_RUB, after_help = EXAMPLES_MEASURE_RUB)]
    Rub(RubArguments),
    /// Find a pickup from a capacitance meter's reading, its cable and the meter's error taken off
    #[command(override_usage = USAGE_MEASURE_METER, after_help = EXAMPLES_MEASURE_METER)]
    Meter(MeterArguments),
    /// Be led through a measurement step by step: the sweep is played and recorded through your interface
    #[command(hide = !cfg!(feature = "sound"), override_usage = USAGE_MEASURE_GUIDED, after_help = EXAMPLES_MEASURE_GUIDED)]
    Guided(GuidedArguments),
}

#[derive(Debug, Args)]
pub struct LeadArguments {
    /// Language of the page
    #[arg(long, value_name = "LANGUAGE", value_enum, default_value_t)]
    pub language: Language,
    /// The page, .pdf or .html; - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// What is written, where the name of the output does not say it: PDF unless given
    #[arg(long, value_name = "KIND", value_enum)]
    pub format: Option<NoteKindArgument>,
    #[command(flatten)]
    pub write: WriteArguments,
}

#[derive(Debug, Args)]
pub struct SweepArguments {
    /// The test sound, .wav of 24 bits; - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Its sample rate, 44100 to 192000 Hz: that of the session
    #[arg(long, value_name = "HZ", default_value = "48000", value_parser = sweep_rate, allow_hyphen_values = true)]
    pub rate: u32,
    /// Its peak, -40 to -6 dBFS
    #[arg(long, value_name = "DB", default_value = "-20", value_parser = sweep_level, allow_hyphen_values = true)]
    pub level: f64,
    #[command(flatten)]
    pub write: WriteArguments,
}

#[derive(Debug, Args)]
pub struct MeasurePickupArguments {
    #[command(flatten)]
    pub node: NodeArguments,
    #[command(flatten)]
    pub known: KnownArguments,
    #[command(flatten)]
    pub channel: ChannelArguments,
    #[command(flatten)]
    pub result: ResultArguments,
}

#[derive(Debug, Args)]
pub struct MeasureBoxArguments {
    /// The test sound played straight into the box, and recorded from its output
    #[arg(long, value_name = "FILE")]
    pub reference: PathBuf,
    /// The same through the known part
    #[arg(long = "box", value_name = "FILE")]
    pub boxed: PathBuf,
    #[command(flatten)]
    pub known: KnownArguments,
    #[command(flatten)]
    pub channel: ChannelArguments,
    #[command(flatten)]
    pub result: ResultArguments,
}

#[derive(Debug, Args)]
pub struct MeasureCoilArguments {
    #[command(flatten)]
    pub node: NodeArguments,
    /// The resistor in the lead, such as '100k ±1%'
    #[arg(long, value_name = "RESISTANCE", allow_hyphen_values = true)]
    pub resistor: String,
    #[command(flatten)]
    pub channel: ChannelArguments,
    #[command(flatten)]
    pub result: ResultArguments,
}

#[derive(Debug, Args)]
pub struct ToggleArguments {
    #[command(flatten)]
    pub switched: SwitchedArguments,
    /// The pickup's capacitance, such as '680p ±5%': then the input is found, not the pickup
    #[arg(long, value_name = "CAPACITANCE", conflicts_with = "added", allow_hyphen_values = true)]
    pub known_pickup: Option<String>,
    /// Print where the load seems to be switched, as --marks reads it, and find nothing: look through it, it misses some
    #[arg(long, conflicts_with_all = ["marks", "known_pickup", "picture", "save"])]
    pub suggest_marks: bool,
}

#[derive(Debug, Args)]
pub struct RubArguments {
    #[command(flatten)]
    pub switched: SwitchedArguments,
}

/// A take while something is switched in and out.
#[derive(Debug, Args)]
pub struct SwitchedArguments {
    /// The take: damped silence of a second at both ends, and the playing between
    #[arg(value_name = "TAKE")]
    pub take: PathBuf,
    /// What is always there, such as 1M
    #[arg(long, value_name = "LOAD", allow_hyphen_values = true)]
    pub load_a: Option<String>,
    /// What is switched in and out beside it, such as '56k ±1%'
    #[arg(long, value_name = "LOAD", allow_hyphen_values = true)]
    pub added: Option<String>,
    /// When it was switched, first in, then out, and so on: times such as '2.0 3.1 1:04.2', or a file with one a line
    #[arg(long, value_name = "TIMES", allow_hyphen_values = true)]
    pub marks: Option<String>,
    #[command(flatten)]
    pub cable: CableArguments,
    #[command(flatten)]
    pub channel: ChannelArguments,
    #[command(flatten)]
    pub result: ResultArguments,
}

#[derive(Debug, Args)]
pub struct MeterArguments {
    /// What the meter shows, such as 690p
    #[arg(value_name = "CAPACITANCE", allow_hyphen_values = true)]
    pub reading: String,
    /// The frequency that it measures at, such as '1 kHz'; most handheld ones have some 100 Hz to 1 kHz
    #[arg(long, value_name = "HZ", value_parser = hertz, allow_hyphen_values = true)]
    pub at: f64,
    /// The meter's error, such as '2 %'; 3 % unless given
    #[arg(long, value_name = "PERCENT", value_parser = meter_error, allow_hyphen_values = true)]
    pub error: Option<f64>,
    #[command(flatten)]
    pub cable: CableArguments,
    #[command(flatten)]
    pub result: ResultArguments,
}

/// The recordings at the node of the measuring lead.
#[derive(Debug, Args)]
pub struct NodeArguments {
    /// The test sound from the output straight to the input
    #[arg(long, value_name = "FILE")]
    pub reference: PathBuf,
    /// The same through the measuring lead, its instrument's cable on it, the instrument unplugged
    #[arg(long, value_name = "FILE")]
    pub empty: PathBuf,
    /// The same with the instrument plugged in
    #[arg(long, value_name = "FILE")]
    pub plugged: PathBuf,
}

/// The known part that is in series.
#[derive(Debug, Args)]
#[group(id = "known", required = true, multiple = false, args = ["resistor", "capacitor"])]
pub struct KnownArguments {
    /// The resistor in the lead, such as '100k ±1%'
    #[arg(long, value_name = "RESISTANCE", allow_hyphen_values = true)]
    pub resistor: Option<String>,
    /// Or the capacitor in it, such as '1n ±5%'
    #[arg(long, value_name = "CAPACITANCE", allow_hyphen_values = true)]
    pub capacitor: Option<String>,
}

#[derive(Debug, Args)]
pub struct CableArguments {
    /// The cable on the pickup, such as '3 m', which is taken off
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub cable: Option<String>,
    /// Capacitance of one metre of it; 100 pF ±30 % unless given
    #[arg(long, value_name = "CAPACITANCE", requires = "cable", allow_hyphen_values = true)]
    pub per_metre: Option<String>,
}

#[derive(Debug, Args)]
pub struct ChannelArguments {
    /// The channel of the recordings, counted from 1, where several sound
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=64))]
    pub channel: Option<u16>,
}

/// What becomes of what was found.
#[derive(Debug, Args)]
pub struct ResultArguments {
    /// Draw what was measured and what was fitted to it, .svg or .png
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Keep what was found in the kit, by this name
    #[arg(long, value_name = "NAME")]
    pub save: Option<String>,
    #[command(flatten)]
    pub kit: KitFileArguments,
    /// Replace a picture that exists
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    pub report: ReportArguments,
}
