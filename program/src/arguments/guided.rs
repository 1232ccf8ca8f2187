//! Arguments of `firstjack measure guided`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::measure::ResultArguments;
use super::values::sweep_rate;

#[derive(Debug, Args)]
pub struct GuidedArguments {
    /// What is measured
    #[arg(value_name = "WHAT", value_enum)]
    pub what: GuidedKind,
    /// The resistor in the lead; '100k ±1%' unless given, of a box only where it is given
    #[arg(long, value_name = "RESISTANCE", conflicts_with = "capacitor", allow_hyphen_values = true)]
    pub resistor: Option<String>,
    /// Or the capacitor in it; '1n ±5%' of a box unless a resistor is given
    #[arg(long, value_name = "CAPACITANCE", allow_hyphen_values = true)]
    pub capacitor: Option<String>,
    /// Device that records; the system's default unless given
    #[arg(long, value_name = "DEVICE", allow_hyphen_values = true)]
    pub input: Option<String>,
    /// Device that plays; the system's default unless given
    #[arg(long, value_name = "DEVICE", allow_hyphen_values = true)]
    pub output: Option<String>,
    /// Sample rate, 44100 to 192000 Hz
    #[arg(long, value_name = "HZ", default_value = "48000", value_parser = sweep_rate, allow_hyphen_values = true)]
    pub rate: u32,
    /// The input's channel, counted from 1
    #[arg(long, value_name = "NUMBER", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=64))]
    pub channel: u16,
    /// Keep the recordings in this folder, as WAV; nothing is replaced there
    #[arg(long, value_name = "FOLDER")]
    pub keep: Option<PathBuf>,
    #[command(flatten)]
    pub result: ResultArguments,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GuidedKind {
    /// A pickup that is a capacitor
    Pickup,
    /// A box's input
    Box,
    /// A magnetic pickup
    Coil,
}
