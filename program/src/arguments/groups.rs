//! Arguments that several commands take, and that mean the same in each.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use dsp_core::preset::{Crew, LinePolarity, Phantom};

use super::values::concert_pitch;
use crate::output::Input;

#[derive(Debug, Args)]
#[group(id = "source", required = true, multiple = true, args = ["pickup", "coil", "setups"])]
pub struct SourceArguments {
    #[command(flatten)]
    pub pickup: PickupArguments,
    /// A file of setups (TOML), instead of --load
    #[arg(long, value_name = "FILE", conflicts_with_all = ["load", "first"])]
    pub setups: Option<PathBuf>,
    #[command(flatten)]
    pub heard: HeardArguments,
    #[command(flatten)]
    pub kit: KitFileArguments,
}

/// Where the person's kit lies.
#[derive(Debug, Clone, Default, Args)]
pub struct KitFileArguments {
    /// Your kit (firstjack kit), instead of the one in your settings; the variable FIRSTJACK_KIT says another one, too
    #[arg(long, value_name = "FILE")]
    pub kit: Option<PathBuf>,
}

/// The pickup and the controls on the instrument.
#[derive(Debug, Args)]
pub struct PickupArguments {
    /// Capacitance of the pickup, such as 680p, or '470p to 4.7n'; or its name in your kit; or its kind, such as bridge (firstjack list shows all)
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
    /// Inductance of a magnetic pickup, such as '4.7 H', or its name in your kit, or its kind, such as double, instead of --pickup
    #[arg(long, value_name = "INDUCTANCE", conflicts_with = "pickup", allow_hyphen_values = true)]
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
    /// Volume pot on the instrument: 500k, '500k log at 7', '500k at 70 %', or none; usual with --coil, unless --tone is given
    #[arg(long, value_name = "POT", allow_hyphen_values = true)]
    pub volume: Option<String>,
    /// Tone control on the instrument: '500k 22n', '500k 22n log at 7', or none; usual with --coil, unless --volume is given
    #[arg(long, value_name = "POT-CAPACITOR", allow_hyphen_values = true)]
    pub tone: Option<String>,
}

/// What is looked at or heard.
#[derive(Debug, Args)]
pub struct HeardArguments {
    /// What comes first, in order from the pickup, in front of each --load: a box as 'tuner 1M buffered', 'box 56k unbuffered' or 'fuzz 22k
    /// active' (a pedal that is on), a box of your kit as 'our tuner buffered', or a cable as '6 m'; may be given several times
    #[arg(long, value_name = "BOX", allow_hyphen_values = true)]
    pub first: Vec<String>,
    /// What the pickup is plugged into, such as '470k || 1M || 6 m', 'transformer 140k' for a passive box, 'our tuner || 470k' with a box of your
    /// kit, or none for no load; may be given several times
    #[arg(long, value_name = "LOAD", required_unless_present = "setups", allow_hyphen_values = true)]
    pub load: Vec<String>,
    /// Only this setup of the file; may be given several times
    #[arg(long, value_name = "NAME", requires = "setups", conflicts_with = "load")]
    pub setup: Vec<String>,
    /// Only what this venue offers: its own setups and those of no venue
    #[arg(long, value_name = "NAME", requires = "setups", conflicts_with = "load")]
    pub venue: Option<String>,
}

impl SourceArguments {
    /// Whether several sounds are to be compared: the setups of a file unless one is picked, or several loads.
    pub fn is_set(&self) -> bool {
        (self.setups.is_some() && self.heard.setup.len() != 1) || self.heard.load.len() > 1
    }

    /// What a run reads of it.
    pub fn inputs(&self) -> impl Iterator<Item = Input<'_>> {
        self.setups.iter().map(|path| Input { path, is: "the file of setups" })
    }
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

/// Takes, and what they were recorded through.
#[derive(Debug, Args)]
pub struct TakesArguments {
    /// The take: a WAV, AIFF or FLAC file, or - for standard input
    #[arg(value_name = "TAKE", required_unless_present = "blend")]
    pub takes: Vec<PathBuf>,
    /// A take of a blend as two mono files, one for each pickup
    #[arg(long, value_names = ["FIRST", "SECOND"], num_args = 2)]
    pub blend: Vec<PathBuf>,
    /// What the take was recorded through, such as 22M; none for an unloaded take
    #[arg(
        long = "recorded-through",
        alias = "through",
        value_name = "LOAD",
        required_unless_present = "setups",
        allow_hyphen_values = true
    )]
    pub through: Option<String>,
    /// Take what is there of a truncated take, and pass over samples that are not numbers
    #[arg(long, alias = "salvage")]
    pub allow_damaged: bool,
}

impl TakesArguments {
    /// The files of each take, in order: one, or two of a blend.
    pub fn recordings(&self) -> Vec<&[PathBuf]> {
        self.takes.chunks(1).chain(self.blend.chunks(2)).collect()
    }

    /// What a run reads of it.
    pub fn inputs(&self) -> impl Iterator<Item = Input<'_>> {
        self.takes.iter().chain(&self.blend).map(|path| Input { path, is: "the take" })
    }
}

/// A part of a take.
#[derive(Debug, Args)]
pub struct PartArguments {
    /// Where the part begins that is heard, in seconds or minutes and seconds: 12.5, 1:02.5
    #[arg(long, value_name = "TIME", default_value = "0", allow_hyphen_values = true)]
    pub from: String,
    /// How long it is; to the end of the take, unless given
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub length: Option<String>,
}

impl PartArguments {
    /// Whether nothing is cut.
    pub fn is_all(&self) -> bool {
        self.from == "0" && self.length.is_none()
    }
}

/// How a command writes.
#[derive(Debug, Args)]
pub struct WriteArguments {
    /// Replace outputs that exist
    #[arg(long)]
    pub overwrite: bool,
    /// Say what would be read and written, how long and how large, and write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Say on standard error what is read and written
    #[arg(short, long)]
    pub verbose: bool,
}

/// How a command that works for long tells what it did.
#[derive(Debug, Args)]
pub struct ReportArguments {
    /// No progress bar and no report
    #[arg(short, long, conflicts_with = "json")]
    pub quiet: bool,
    /// Print the report as JSON; paths in it are as this system writes them
    #[arg(long)]
    pub json: bool,
}

/// What a crew note is filled in with; lines to write on are left for the rest.
#[derive(Debug, Args)]
#[command(next_help_heading = "Crew note, before what the file of setups says of the venue")]
pub struct CrewArguments {
    /// Whether the line has phantom power
    #[arg(long, value_name = "STATE", value_enum)]
    pub phantom: Option<PhantomArgument>,
    /// The pad, such as '-20 dB'
    #[arg(long, value_name = "TEXT", allow_hyphen_values = true)]
    pub pad: Option<String>,
    /// The polarity of the line
    #[arg(long, value_name = "STATE", value_enum)]
    pub polarity: Option<PolarityArgument>,
    /// The line of the stage box
    #[arg(long, value_name = "TEXT")]
    pub line: Option<String>,
    /// What feeds front of house: a setup or a box, which then goes before another one as good; or anything else
    #[arg(long, value_name = "NAME")]
    pub feed: Option<String>,
    /// Whom to ask
    #[arg(long, value_name = "TEXT")]
    pub contact: Option<String>,
    /// Whatever else there is to say
    #[arg(long, value_name = "TEXT")]
    pub remarks: Option<String>,
}

/// Phantom power.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PhantomArgument {
    /// It is there
    On,
    /// It is not
    Off,
}

/// Polarity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PolarityArgument {
    /// As it comes
    Normal,
    /// Turned round
    Reversed,
}

impl CrewArguments {
    /// With what is known of the venue where nothing was typed.
    pub fn over(&self, known: Option<&Crew>) -> Crew {
        let known = known.cloned().unwrap_or_default();
        let said = |typed: &Option<String>| typed.clone().filter(|text| !text.trim().is_empty());
        let phantom = self.phantom.map(|phantom| match phantom {
            PhantomArgument::On => Phantom::On,
            PhantomArgument::Off => Phantom::Off,
        });
        let polarity = self.polarity.map(|polarity| match polarity {
            PolarityArgument::Normal => LinePolarity::Normal,
            PolarityArgument::Reversed => LinePolarity::Reversed,
        });
        Crew {
            phantom: phantom.or(known.phantom),
            pad: said(&self.pad).or(known.pad),
            polarity: polarity.or(known.polarity),
            line: said(&self.line).or(known.line),
            feed: said(&self.feed).or(known.feed),
            contact: said(&self.contact).or(known.contact),
            remarks: said(&self.remarks).or(known.remarks),
        }
    }
}
