use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use dsp_core::equaliser::Desk;

use crate::words::Language;

const EXAMPLES_TELL: &str = "Examples:
  firstjack tell --pickup 680p --load '470k || 1M' --instrument guitarron
  firstjack tell --setups presets/courtyard.toml
  firstjack tell --pickup 1n --load 1M --instrument bass --max-loss 3 --json
  firstjack tell --coil '4.7 H' --coil-resistance 8k2 --winding 120p --load '1M || 6 m'

The input to ask for. Only the box that is listened to changes; the rest of the chain stays.
  Capacitive pickup: the smallest resistance with which the lowest string is within --max-loss dB
  of the level in the passband; with controls on the instrument, and for a blend, of what an open
  input would leave of it.
  Magnetic pickup: a range. Below it the pickup is dull: where it would resonate into an open
  input it lies more than --max-loss dB below its level at low frequencies. Above it the resonance
  stands out by more than 6 dB (common practice). At least so much, if no input is too high.";

const EXAMPLES_RENDER: &str = "Examples:
  firstjack render take.wav --pickup 680p --through 22M --load 470k -o amp.wav
  firstjack render take.wav --pickup 680p --through 22M --setups presets/courtyard.toml -o folder/
  firstjack render take.wav --pickup 680p --through 56k --load none --undo-ceiling 18 -o full.wav

Two pickups that share a jack (a file of setups with [[blend]]) need a track each, recorded by
itself through what the file says: a take of two channels, the first pickup's on channel 1, or two
mono takes of one rate and length, in that order.

Turn the system down before auditioning an undo: tens of dB of low-frequency boost can hurt
hearing and loudspeakers.

Exit codes: 0 done, 1 the system failed (disk full), 2 what was asked for cannot be done, 130
interrupted. A file that is there is complete.";

const EXAMPLES_CURVE: &str = "Examples:
  firstjack curve --pickup 680p --load 56k --load 470k -o curves.svg
  firstjack curve --setups presets/courtyard.toml -o curves.png
  firstjack curve --coil '4.7 H' --coil-resistance 8k2 --load '1M || 6 m' -o curves.csv";

const EXAMPLES_PACK: &str = "Examples:
  firstjack pack take.wav --setups presets/courtyard.toml -o page.html
  firstjack pack take.wav --setups presets/courtyard.toml --from 0:10 --length 30 --blind -o vote.html
  firstjack pack take.wav --setups presets/courtyard.toml --abx combo tuner --anchor -o vote.html

The page opens from disk in any current browser, without a network: the take through every setup at
equal loudness, with figures, a blind vote and the crew note. It has the sound in it: without loss
(FLAC) where the page stays within 6 MiB, or else in Opus at a rate with which 30 seconds of eight
sounds do; longer ones and larger sets have more in proportion.

A take of more than two channels is heard by its first two; a blend as it leaves its jack.

Exit codes: 0 done, 1 the system failed (disk full), 2 what was asked for cannot be done, 130
interrupted. A file that is there is complete.";
const EXAMPLES_NOTE: &str = "Examples:
  firstjack note --setups presets/courtyard.toml -o note.pdf
  firstjack note --setups presets/venues.toml --venue chapel --language de -o note.html

One A4 page: what the pickup loses, which input to ask for, the chain as a block diagram, which box goes
first and why, how long a cable may be, what there is in order of what it loses, cautions. It is about
the first of that order unless --setup names another. What does not fit is cut, and says so.";

const EXAMPLES_RESCUE: &str = "Examples:
  firstjack rescue --setups presets/courtyard.toml
  firstjack rescue --pickup 680p --through 22M --load 470k --instrument guitarron
  firstjack rescue --setups presets/courtyard.toml --desk-gain 12 --desk-q 0.7-2 --json

The settings are those of the usual digital filters (Audio EQ Cookbook, W3C) at --rate, fitted by
least squares in dB, each octave alike, from a third below the lowest string to 16 kHz. What they
leave is told against the take as recorded, at equal level.

Turn the system down before trying a rescue: tens of dB of low-frequency boost can hurt hearing
and loudspeakers.";

const EXAMPLES_OPEN: &str = "Examples:
  firstjack open take.wav --setups presets/courtyard.toml
  firstjack open rehearsal.mp3 --zoom 1.5

In the window: space plays and stops; a click on the waveform goes there; a drag loops a part, a
double click no part.

This needs a build with the feature window, or sound to hear it too; without a device for sound the
window opens and says that nothing can be heard.

Turn the system down before auditioning an undo: tens of dB of low-frequency boost can hurt
hearing and loudspeakers.

Exit codes: 0 closed, 1 no window could be opened, 2 what was asked for cannot be done.";

const EXAMPLES_LIVE: &str = "Examples:
  firstjack live
  firstjack live --backend alsa --rate 48000 --buffer 256 --input 'USB interface'
  firstjack live --backend jack --connect system:capture_1

This needs a build with the feature sound. With JACK the rate and the buffer are the server's. No
input is connected unasked, so that nothing howls.

Mute before plugging and unplugging. Turn the system down before auditioning an undo: tens of dB of
low-frequency boost can hurt hearing and loudspeakers.

Exit codes: 0 closed, 1 no window or no sound is to be had, 2 what was asked for cannot be done.";

const EXAMPLES_VOTES: &str = "Examples:
  firstjack votes page.html answers.txt
  firstjack votes page.html cello.json mandolin.json --json

Answers are files as the page saves them, or its codes (fj1....), one a line, among other text such
as mail or a chat. The same answer twice counts once. What comes under one name is one listener's:
runs of one pair are added up, rankings count as one, by their mean.

Exit codes: 0 all answers count, 1 the system failed, 2 some do not; those that do are told all the
same.";

/// Hear a take through another load, and know what a pickup loses before anyone plugs in.
///
/// A pickup on an acoustic instrument is a small capacitor: the first input it is plugged into, and all that stands in parallel
/// before the first buffer, make a high-pass. A magnetic pickup is a coil, and loses its top there. Values are written as the trade writes them: 470k, 2M2, 4.7 MΩ, 680p, 1n5, 6 m
/// (of cable), joined by || where they stand in parallel.
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
    /// A file of setups (TOML), instead of --load
    #[arg(long, value_name = "FILE", conflicts_with = "load")]
    pub setups: Option<PathBuf>,
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
    #[arg(long, value_name = "HZ", default_value_t = dsp_core::units::CONCERT_PITCH_HZ, value_parser = concert_pitch,
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

#[derive(Debug, Args)]
pub struct RenderArguments {
    /// The take: a WAV file; two for a blend, one for each pickup
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
    /// The rendering; with --setups a folder for one file a setup
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
    /// The take: a WAV file; two for a blend, one for each pickup
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
pub struct OpenArguments {
    /// The take: a WAV, FLAC or MP3 file
    #[arg(value_name = "TAKE")]
    pub take: PathBuf,
    /// A file of setups (TOML); the courtyard's, unless given
    #[arg(long, value_name = "FILE")]
    pub setups: Option<PathBuf>,
    /// Open what is there of a truncated take, and samples that are not numbers as silence
    #[arg(long)]
    pub salvage: bool,
    /// How much larger than the system's size everything is drawn
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0, value_parser = zoom, allow_hyphen_values = true)]
    pub zoom: f32,
    /// Write a picture of the window (PNG) and close it, for the project's own pictures
    #[arg(long, value_name = "FILE", hide = true)]
    pub screenshot: Option<PathBuf>,
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

fn zoom(text: &str) -> Result<f32, String> {
    let factor = text.trim().parse().ok().filter(|factor| (0.5..=4.0).contains(factor));
    factor.ok_or_else(|| "accepted are 0.5 to 4".to_owned())
}

fn concert_pitch(text: &str) -> Result<f64, String> {
    let hz = number_of(text, "Hz").filter(|hz| (100.0..=1000.0).contains(hz));
    hz.ok_or_else(|| "accepted are 100 to 1000 Hz".to_owned())
}

fn loss_to_accept(text: &str) -> Result<f64, String> {
    let db = number_of(text, "dB").filter(|db| *db > 0.0 && *db <= 60.0);
    db.ok_or_else(|| "accepted are more than 0 and at most 60 dB".to_owned())
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

/// Reads a number that its unit may follow, in any case: `24`, `24 dB`.
pub fn number_of(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim().to_lowercase();
    text.strip_suffix(&unit.to_lowercase()).unwrap_or(&text).trim().parse().ok()
}
