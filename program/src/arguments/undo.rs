//! Arguments about undoing a load, and about the noise that comes with it.

use clap::Args;
use dsp_core::units::FullScale;

use super::values::margin;

#[derive(Debug, Args)]
pub struct UndoArguments {
    /// The most boost that any change may apply, in dB, or off; or auto: of each setup as much as the take's own noise allows
    #[arg(long, value_name = "DB", default_value = "24", allow_hyphen_values = true)]
    pub undo_ceiling: String,
    /// Let a change that lifts the lows come down again, at this part of the lowest string's frequency (0.1 to 0.5, second order), so that rumble is not
    /// lifted with them; or off
    #[arg(long, value_name = "PART", default_value = "off", allow_hyphen_values = true)]
    pub undo_floor: String,
    /// Where the take is nothing but noise, such as 0:00-0:02; its quietest stretches, unless given
    #[arg(long, value_name = "TIME-TIME", allow_hyphen_values = true)]
    pub noise_from: Option<String>,
    /// For auto: how far every string that gets something back, and its second harmonic, stand above the noise around them, in dB
    #[arg(long, value_name = "DB", default_value = "10", value_parser = margin, allow_hyphen_values = true)]
    pub string_margin: f64,
    /// For auto: how far the music stands above noise from 20 to 200 Hz, both K-weighted, in dB
    #[arg(long, value_name = "DB", default_value = "15", value_parser = margin, allow_hyphen_values = true)]
    pub rumble_margin: f64,
    /// What 0 dBFS is at the input that recorded: '10 dBu', or as a sine and a voltmeter say it, '0.5 V at -14.2 dBFS'; tells how far the take's floor lies
    /// above what heat makes in pickup and load. Of an interface of your kit that it was recorded through, the kit says it
    #[arg(long, value_name = "LEVEL", allow_hyphen_values = true)]
    pub in_dbu_at_full_scale: Option<FullScale>,
}
