//! Volts on the way: what full scale is, what gain is right, how hot the output is.

use dsp_core::units::{FullScale, Resistance};
use serde::Serialize;

use super::told::USUAL_OHMS;
use super::way::Way;
use crate::arguments::IntoAmpArguments;
use crate::error::Failure;
use crate::source::{OwnKit, value};

/// A pad is worth building where the highest peak lies further below full scale than this, in dB: so much of the output's range would be
/// given to its noise.
const HOT_DB: f64 = 18.0;

/// Where a pad then lets the highest peak lie, in dB below full scale.
const ROOM_DB: f64 = 6.0;

/// The most that a pad takes away, in dB.
const MOST_PAD_DB: f64 = 40.0;

/// What 0 dBFS is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interface {
    /// At the input that recorded.
    pub recorded: FullScale,
    /// At the output, or behind its isolating box.
    pub played: FullScale,
}

/// What a way is to be played with.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Played {
    /// At which the amplifier sees the volts that the pickup gave.
    pub gain_db: f64,
    /// Of the highest true peak as it is played, against full scale; `None` for silence, or where no take was measured.
    pub peak_dbfs: Option<f64>,
    /// The same at the output, in volts.
    pub peak_volts: Option<f64>,
}

/// What is said of the interface: typed, or of the kit. Levels only together, since one alone says no gain.
pub fn said(arguments: &IntoAmpArguments, kit: &OwnKit) -> Result<(Resistance, Option<Interface>), Failure> {
    let own = arguments.interface.as_deref().map(|name| kit.levels("--interface", name)).transpose()?;
    let own = own.unwrap_or_default();
    let level = |option, text: &Option<String>, own: Option<FullScale>| {
        text.as_deref().map(|text| value(option, text)).transpose().map(|typed| typed.or(own))
    };
    let recorded = level("--in-dbu-at-full-scale", &arguments.in_dbu_at_full_scale, own.recorded)?;
    let played = level("--out-dbu-at-full-scale", &arguments.out_dbu_at_full_scale, own.played)?;
    let interface = match (recorded, played) {
        (Some(recorded), Some(played)) => Some(Interface { recorded, played }),
        (None, None) => None,
        _ => {
            return Err(Failure::Usage(
                "--in-dbu-at-full-scale and --out-dbu-at-full-scale say a gain together, and one is missing: accepted are both, or none"
                    .to_owned(),
            ));
        }
    };
    let typed =
        arguments.output_resistance.as_deref().map(|text| value("--output-resistance", text)).transpose()?;
    let usual = || {
        Resistance::from_ohms(USUAL_OHMS)
            .map_err(|error| Failure::Value { option: "--output-resistance", error })
    };
    Ok((typed.or(own.resistance).map_or_else(usual, Ok)?, interface))
}

impl Interface {
    /// For a way, a rendering of which has this highest peak at a gain of one.
    pub fn played(self, way: &Way, lowest_hz: f64, peak: Option<f64>) -> Played {
        let gain_db = self.recorded.dbu() - self.played.dbu() - way.insertion_db(lowest_hz);
        let peak_dbfs = peak.filter(|peak| *peak > 0.0).map(|peak| 20.0 * peak.log10() + gain_db);
        let peak_volts = peak_dbfs.map(|db| self.played.peak_volts() * 10f64.powf(db / 20.0));
        Played { gain_db, peak_dbfs, peak_volts }
    }

    /// With a pad, if the output is too hot.
    pub fn padded(self, way: Way, lowest_hz: f64, peak: Option<f64>) -> Way {
        match self.played(&way, lowest_hz, peak).peak_dbfs {
            Some(peak_dbfs) if peak_dbfs < -HOT_DB => {
                way.padded((-ROOM_DB - peak_dbfs).min(MOST_PAD_DB), lowest_hz)
            }
            _ => way,
        }
    }
}

impl Played {
    /// The same as a factor.
    pub fn gain(&self) -> f64 {
        10f64.powf(self.gain_db / 20.0)
    }

    /// How far it stays below full scale, in dB; negative where the output is too weak.
    pub fn headroom_db(&self) -> Option<f64> {
        self.peak_dbfs.map(|peak_dbfs| -peak_dbfs)
    }
}
