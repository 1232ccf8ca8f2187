//! Arguments of the commands around the page for the band.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use firstjack_equaliser::{Desk, Series};
use firstjack_words::Language;

use super::values::{desk_boost, desk_gain, desk_gain_step, desk_hz, desk_q, loss_to_accept};
use super::{
    CrewArguments, KitFileArguments, PartArguments, ReportArguments, SourceArguments, StringsArguments,
    TakesArguments, WriteArguments,
};

#[derive(Debug, Args)]
pub struct NoteArguments {
    /// A file of setups (TOML)
    #[arg(long, value_name = "FILE")]
    pub setups: PathBuf,
    #[command(flatten)]
    pub kit: KitFileArguments,
    /// The setup that the page is about; the one that loses least, unless given
    #[arg(long, value_name = "NAME")]
    pub setup: Option<String>,
    /// Only what this venue offers: its own setups and those of no venue
    #[arg(long, value_name = "NAME")]
    pub venue: Option<String>,
    /// Language of the page; names stay as the file has them
    #[arg(long, value_name = "LANGUAGE", value_enum, default_value_t)]
    pub language: Language,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// Loss to accept, in dB, for the input to ask for: at the lowest string, of a magnetic pickup at its resonance
    #[arg(long, value_name = "DB", default_value_t = 1.0, value_parser = loss_to_accept, allow_hyphen_values = true)]
    pub max_loss: f64,
    /// The page, .pdf or .html; - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// What is written, where the name of the output does not say it: PDF unless given
    #[arg(long, value_name = "KIND", value_enum)]
    pub format: Option<NoteKindArgument>,
    #[command(flatten)]
    pub write: WriteArguments,
    #[command(flatten)]
    pub crew: CrewArguments,
}

/// What a note becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum NoteKindArgument {
    /// To print
    Pdf,
    /// For a browser
    Html,
}

/// What the equaliser of a desk can do.
#[derive(Debug, Args)]
pub struct DeskArguments {
    /// The most that a band of the desk's equaliser boosts or cuts, in dB
    #[arg(long, value_name = "DB", default_value = "15", value_parser = desk_gain, allow_hyphen_values = true)]
    desk_gain: f64,
    /// The most that its bands boost together against the passband, in dB; where more is needed the verdict is "don't"
    #[arg(long, value_name = "DB", default_value = "20", value_parser = desk_boost, allow_hyphen_values = true)]
    desk_boost: f64,
    /// Where the corner of its low shelf may be, in Hz; one value if it is fixed
    #[arg(long, value_name = "LOW-HIGH", default_value = "40-400", value_parser = desk_hz, allow_hyphen_values = true)]
    desk_shelf: (f64, f64),
    /// Where its two bells may be, in Hz; one value if they are fixed
    #[arg(long, value_name = "LOW-HIGH", default_value = "30-16k", value_parser = desk_hz, allow_hyphen_values = true)]
    desk_bells: (f64, f64),
    /// The Q of its bells; one value if it is fixed
    #[arg(long, value_name = "LOW-HIGH", default_value = "0.4-4", value_parser = desk_q, allow_hyphen_values = true)]
    desk_q: (f64, f64),
    /// Steps of its gains, in dB
    #[arg(long, value_name = "DB", default_value = "0.5", value_parser = desk_gain_step, allow_hyphen_values = true)]
    desk_gain_step: f64,
    /// Steps of its frequencies, as parts of an octave
    #[arg(long, value_name = "PART", value_enum, default_value_t)]
    desk_hz_step: StepArgument,
}

/// Steps of frequencies, preferred numbers of ISO 3.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum StepArgument {
    /// A third of an octave: 100, 125, 160 ...
    Third,
    /// A sixth of an octave: 100, 112, 125 ...
    Sixth,
    /// A twelfth of an octave: 100, 106, 112 ...
    #[default]
    Twelfth,
}

impl DeskArguments {
    pub fn desk(&self) -> Desk {
        Desk {
            most_gain_db: self.desk_gain,
            most_boost_db: self.desk_boost,
            shelf_hz: self.desk_shelf,
            bell_hz: self.desk_bells,
            bell_q: self.desk_q,
            gain_step_db: self.desk_gain_step,
            hz_steps: match self.desk_hz_step {
                StepArgument::Third => Series::Third,
                StepArgument::Sixth => Series::Sixth,
                StepArgument::Twelfth => Series::Twelfth,
            },
            ..Desk::default()
        }
    }
}

#[derive(Debug, Args)]
pub struct RescueArguments {
    #[command(flatten)]
    pub source: SourceArguments,
    /// What the take was recorded through, such as 22M, which a setup is to sound like; a file of setups says it, too
    #[arg(long = "recorded-through", alias = "through", value_name = "LOAD", allow_hyphen_values = true)]
    pub through: Option<String>,
    /// What a setup is to sound like instead: the pickup into this load, or none. Without a take, a magnetic pickup into its usual
    /// amplifier and cable, any other into nothing
    #[arg(long, value_name = "LOAD", conflicts_with = "through", allow_hyphen_values = true)]
    pub aim: Option<String>,
    #[command(flatten)]
    pub strings: StringsArguments,
    #[command(flatten)]
    pub desk: DeskArguments,
    /// Sample rate of the desk, in Hz
    #[arg(long, value_name = "HZ", default_value_t = 48_000, value_parser = clap::value_parser!(u32).range(8_000..=384_000))]
    pub rate: u32,
    /// Print JSON for scripts
    #[arg(long)]
    pub json: bool,
}

/// How sounds are stored in a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum AudioArgument {
    /// Without loss if the page stays small, or else Opus
    Auto,
    /// Without loss, 24 bits
    Flac,
    /// With a small loss that is told
    Opus,
}

#[derive(Debug, Args)]
pub struct PackArguments {
    #[command(flatten)]
    pub takes: TakesArguments,
    #[command(flatten)]
    pub source: SourceArguments,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// Loss to accept, in dB, for the input to ask for: at the lowest string, of a magnetic pickup at its resonance
    #[arg(long, value_name = "DB", default_value_t = 1.0, value_parser = loss_to_accept, allow_hyphen_values = true)]
    pub max_loss: f64,
    /// The page, .html; - for standard output
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Its heading; the name of the setups' file, unless given
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Language of the page
    #[arg(long, value_name = "LANGUAGE", value_enum, default_value = "en")]
    pub language: Language,
    #[command(flatten)]
    pub part: PartArguments,
    /// How the sounds are stored
    #[arg(long, value_name = "KIND", value_enum, default_value = "auto")]
    pub audio: AudioArgument,
    /// Rate of each sound in Opus, in kb/s
    #[arg(long, value_name = "RATE", value_parser = clap::value_parser!(u32).range(48..=256))]
    pub kbps: Option<u32>,
    /// Keep names and figures from the page until the listener has voted, or asks for them
    #[arg(long)]
    pub blind: bool,
    /// The two sounds to tell apart, by name; unless given the listener chooses, and with --blind the pairs that matter are asked about
    #[arg(long, value_names = ["NAME", "NAME"], num_args = 2)]
    pub abx: Option<Vec<String>>,
    /// Add a sound worse than every setup (without lows; of magnetic pickups without highs), to see whether listeners hear what is missing
    #[arg(long)]
    pub anchor: bool,
    /// Which setup a desk's equaliser tries to put right, or none; the one that loses most, unless given
    #[arg(long, value_name = "NAME")]
    pub rescue: Option<String>,
    #[command(flatten)]
    pub desk: DeskArguments,
    /// The most boost that any change may apply, in dB, or off
    #[arg(long, value_name = "DB", default_value = "24", allow_hyphen_values = true)]
    pub undo_ceiling: String,
    /// Let a change that lifts the lows come down again, at this part of the lowest string's frequency (0.1 to 0.5, second order); or off
    #[arg(long, value_name = "PART", default_value = "off", allow_hyphen_values = true)]
    pub undo_floor: String,
    /// Write the crew note besides, .pdf
    #[arg(long, value_name = "FILE")]
    pub note: Option<PathBuf>,
    /// Write the sheet for re-amping through a setup besides: the setup's name, and the file, .pdf or .html
    #[arg(long, value_names = ["NAME", "FILE"], num_args = 2)]
    pub reamp: Option<Vec<String>>,
    /// Another number puts the sounds into another order
    #[arg(long, alias = "seed", value_name = "NUMBER", default_value_t = 0)]
    pub order: u32,
    #[command(flatten)]
    pub write: WriteArguments,
    #[command(flatten)]
    pub report: ReportArguments,
    #[command(flatten)]
    pub crew: CrewArguments,
}

#[derive(Debug, Args)]
pub struct VotesArguments {
    /// The page that was made by firstjack pack
    #[arg(value_name = "PAGE")]
    pub page: PathBuf,
    /// Files with answers; - for standard input
    #[arg(value_name = "ANSWERS", required = true)]
    pub answers: Vec<PathBuf>,
    /// Several people have this name: count each of its ballots as another listener's; may be repeated
    #[arg(long, value_name = "NAME")]
    pub apart: Vec<String>,
    /// Print JSON for scripts
    #[arg(long)]
    pub json: bool,
}
