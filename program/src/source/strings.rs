use dsp_core::preset::Instrument;
use dsp_core::units::Pitch;

use super::value;
use crate::arguments::StringsArguments;
use crate::error::Failure;

/// The strings to look at.
pub struct Strings {
    /// Empty for a tuning of one's own.
    pub instrument_id: String,
    pub instrument_name: String,
    pub pitches: Vec<Pitch>,
    pub lowest: Pitch,
    pub a4_hz: f64,
}

impl Strings {
    pub fn new(arguments: &StringsArguments, of_source: Option<&str>) -> Result<Self, Failure> {
        let instrument = match &arguments.strings {
            Some(text) => Instrument {
                id: String::new(),
                name: "own tuning".to_owned(),
                strings: text
                    .split_whitespace()
                    .map(|pitch| value("--strings", pitch))
                    .collect::<Result<_, _>>()?,
            },
            None => find(arguments.instrument.as_deref().or(of_source).unwrap_or("bass"))
                .map_err(|problem| Failure::Usage(format!("--instrument: {problem}")))?,
        };
        let lowest = instrument.lowest().cloned().ok_or_else(|| {
            Failure::Usage("--strings: no pitch given; accepted are A1, C#3, Bb2 ...".to_owned())
        })?;
        Ok(Self {
            instrument_id: instrument.id,
            instrument_name: instrument.name,
            pitches: instrument.strings,
            lowest,
            a4_hz: arguments.a4,
        })
    }

    pub fn lowest_hz(&self) -> f64 {
        self.lowest.hz(self.a4_hz)
    }

    /// Each string and its frequency in Hz, from low to high.
    pub fn marks(&self) -> Vec<(&Pitch, f64)> {
        let mut marks: Vec<(&Pitch, f64)> =
            self.pitches.iter().map(|pitch| (pitch, pitch.hz(self.a4_hz))).collect();
        marks.sort_by(|(_, a), (_, b)| a.total_cmp(b));
        marks
    }
}

/// An instrument by its id or its name.
pub(super) fn find(id: &str) -> Result<Instrument, String> {
    let all = Instrument::all();
    let known: Vec<&str> = all.iter().map(|instrument| instrument.id.as_str()).collect();
    let (known, lower) = (known.join(", "), id.to_lowercase());
    all.into_iter()
        .find(|instrument| {
            [&instrument.id, &instrument.name].iter().any(|known| known.to_lowercase() == lower)
        })
        .ok_or_else(|| format!("instrument '{id}' is not known: accepted are {known} (or --strings)"))
}
