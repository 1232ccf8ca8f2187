//! Arguments of the commands around the page for the band.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use firstjack_equaliser::Desk;
use firstjack_words::Language;

use super::{SourceArguments, StringsArguments, loss_to_accept, number_of};

#[derive(Debug, Args)]
pub struct NoteArguments {
    /// A file of setups (TOML)
    #[arg(long, value_name = "FILE")]
    pub setups: PathBuf,
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
    /// The page, .pdf or .html
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Replace the output if it exists
    #[arg(long)]
    pub overwrite: bool,
}

/// What the equaliser of a desk can do.
#[derive(Debug, Args)]
pub struct DeskArguments {
    /// The most that a band of the desk's equaliser boosts or cuts, in dB
    #[arg(long, value_name = "DB", default_value = "15", value_parser = desk_gain, allow_hyphen_values = true)]
    desk_gain: f64,
    /// Where the corner of its low shelf may be, in Hz
    #[arg(long, value_name = "LOW-HIGH", default_value = "40-400", value_parser = range)]
    desk_shelf: (f64, f64),
    /// Where its two bells may be, in Hz
    #[arg(long, value_name = "LOW-HIGH", default_value = "30-16k", value_parser = range)]
    desk_bells: (f64, f64),
    /// The Q of its bells
    #[arg(long, value_name = "LOW-HIGH", default_value = "0.4-4", value_parser = range)]
    desk_q: (f64, f64),
}

impl DeskArguments {
    pub const fn desk(&self) -> Desk {
        Desk {
            most_gain_db: self.desk_gain,
            shelf_hz: self.desk_shelf,
            bell_hz: self.desk_bells,
            bell_q: self.desk_q,
        }
    }
}

#[derive(Debug, Args)]
pub struct RescueArguments {
    #[command(flatten)]
    pub source: SourceArguments,
    /// A load to rescue from; may be given several times
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub load: Vec<String>,
    /// What the take was recorded through, such as 22M; unloaded, unless a file of setups says otherwise
    #[arg(long, value_name = "LOAD", allow_hyphen_values = true)]
    pub through: Option<String>,
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
    /// The take: a WAV, AIFF or FLAC file, or - for standard input; two for a blend, one for each pickup
    #[arg(value_name = "TAKE", required = true, num_args = 1..=2)]
    pub takes: Vec<PathBuf>,
    #[command(flatten)]
    pub source: SourceArguments,
    /// What the take was recorded through, such as 22M; none for an unloaded take
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub through: Option<String>,
    /// What to hear it through; may be given several times
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub load: Vec<String>,
    #[command(flatten)]
    pub strings: StringsArguments,
    /// Only what this venue offers: its own setups and those of no venue
    #[arg(long, value_name = "NAME", requires = "setups")]
    pub venue: Option<String>,
    /// Loss to accept, in dB, for the input to ask for: at the lowest string, of a magnetic pickup at its resonance
    #[arg(long, value_name = "DB", default_value_t = 1.0, value_parser = loss_to_accept, allow_hyphen_values = true)]
    pub max_loss: f64,
    /// The page, .html
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,
    /// Its heading; the name of the setups' file, unless given
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Language of the page
    #[arg(long, value_name = "LANGUAGE", value_enum, default_value = "en")]
    pub language: Language,
    /// Where the excerpt begins, in seconds or minutes and seconds: 12.5, 1:02.5
    #[arg(long, value_name = "TIME", default_value = "0", allow_hyphen_values = true)]
    pub from: String,
    /// How long it is; to the end of the take, unless given
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub length: Option<String>,
    /// How the sounds are stored
    #[arg(long, value_name = "KIND", value_enum, default_value = "auto")]
    pub audio: AudioArgument,
    /// Rate of each sound in Opus, in kb/s
    #[arg(long, value_name = "RATE", value_parser = clap::value_parser!(u32).range(48..=256))]
    pub kbps: Option<u32>,
    /// Keep names and figures from the page until the listener has voted, or asks for them
    #[arg(long)]
    pub blind: bool,
    /// The two sounds to tell apart, by name; the listener chooses, unless given
    #[arg(long, value_names = ["NAME", "NAME"], num_args = 2)]
    pub abx: Option<Vec<String>>,
    /// Add the take without everything above 3.5 kHz, to see whether listeners hear what is missing
    #[arg(long)]
    pub anchor: bool,
    /// Which setup a desk's equaliser tries to put right, or none; the one that loses most, unless given
    #[arg(long, value_name = "NAME")]
    pub rescue: Option<String>,
    #[command(flatten)]
    pub desk: DeskArguments,
    /// The most boost that undoing may apply, in dB, or off
    #[arg(long, value_name = "DB", default_value = "24", allow_hyphen_values = true)]
    pub undo_ceiling: String,
    /// Write the crew note besides, .pdf
    #[arg(long, value_name = "FILE")]
    pub note: Option<PathBuf>,
    /// Another number puts the sounds into another order
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    pub seed: u32,
    /// Pack what is there of a truncated take, and pass over samples that are not numbers
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

#[derive(Debug, Args)]
pub struct VotesArguments {
    /// The page that was made by firstjack pack
    #[arg(value_name = "PAGE")]
    pub page: PathBuf,
    /// Files with answers; - for standard input
    #[arg(value_name = "ANSWERS", required = true)]
    pub answers: Vec<PathBuf>,
    /// Print JSON for scripts
    #[arg(long)]
    pub json: bool,
}

fn desk_gain(text: &str) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| (0.1..=40.0).contains(db));
    db.ok_or_else(|| "accepted are 0.1 to 40 dB".to_owned())
}

/// Two numbers, lower and upper, `k` for thousands: `40-400`, `30-16k`.
fn range(text: &str) -> Result<(f64, f64), String> {
    let number = |text: &str| -> Option<f64> {
        let text = text.trim();
        match text.strip_suffix(['k', 'K']) {
            Some(thousands) => Some(1000.0 * thousands.trim().parse::<f64>().ok()?),
            None => text.parse().ok(),
        }
    };
    let pair = text.split_once('-').and_then(|(low, high)| Some((number(low)?, number(high)?)));
    pair.ok_or_else(|| "accepted are two numbers, the lower one first, such as 40-400 or 30-16k".to_owned())
}
