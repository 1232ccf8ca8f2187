//! Figures as a language writes them.

use std::fmt::Display;

use dsp_core::response::Range;
use dsp_core::units::{Pitch, Resistance};

use super::Words;

/// A loss beyond this is rounding's: two pickups cancel.
const EVERYTHING_DB: f64 = 150.0;

/// Why an automatic ceiling is no higher.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoHigher<'a> {
    /// The lowest string has everything back.
    Enough {
        /// It.
        lowest: &'a Pitch,
    },
    /// A string, or its octave, would stand too near to noise.
    String {
        /// Which.
        string: &'a Pitch,
        /// What of it, in Hz.
        hz: f64,
        /// How near is too near, in dB.
        margin_db: f64,
        /// If hum is to blame.
        hum: Option<ByHum>,
    },
    /// The music would stand too near to noise from 20 to 200 Hz.
    Rumble {
        /// How near is too near, in dB.
        margin_db: f64,
        /// If hum is to blame.
        hum: Option<ByHum>,
    },
}

/// Hum that keeps a ceiling down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByHum {
    /// Its line, in Hz.
    pub hz: f64,
    /// What the ceiling would be without it, in dB.
    pub without_db: f64,
}

impl Words {
    /// A figure, with its unit if it has one, with the language's decimal point; between two ends, with the language's word.
    pub fn figure(&self, figure: impl Display) -> String {
        figure.to_string().replace('.', self.get("number.point")).replace(" to ", self.get("number.to"))
    }

    /// A loss or a gain without its sign, as far as it is said: whole decibels from 10 dB on, tenths below.
    pub fn db(&self, db: f64) -> String {
        match db.abs() {
            size if size > EVERYTHING_DB => self.get("db.everything").to_owned(),
            ..0.05 => self.get("db.hardly").to_owned(),
            size @ ..9.95 => self.figure(format!("{size:.1} dB")),
            size => self.figure(format!("{size:.0} dB")),
        }
    }

    /// Losses, or gains, between two: "11 to 16 dB", one figure where both are said alike, "up to 0.4 dB" where the smaller one is
    /// hardly any.
    pub fn db_range(&self, range: Range) -> String {
        let (small, large) = (range.low.abs().min(range.high.abs()), range.low.abs().max(range.high.abs()));
        if small < 0.05 && large >= 0.05 {
            return self.say("range.up_to", &[("to", &self.db(large))]);
        }
        self.between(&self.db(small), &self.db(large))
    }

    /// Frequencies between two: "180 to 330 Hz"; without an upper end where it is infinite.
    pub fn hz_range(&self, range: Range) -> String {
        let low = self.hz(range.low);
        if range.high.is_finite() {
            self.between(&low, &self.hz(range.high))
        } else {
            self.say("range.from", &[("from", &low)])
        }
    }

    /// The unit once, where both have the same.
    fn between(&self, low: &str, high: &str) -> String {
        if low == high {
            return low.to_owned();
        }
        let from = match (low.rsplit_once(' '), high.rsplit_once(' ')) {
            (Some((number, unit)), Some((_, other))) if unit == other && is_number(number) => number,
            _ => low,
        };
        self.say("range.to", &[("from", from), ("to", high)])
    }

    /// A ceiling, to tenths.
    pub fn ceiling(&self, db: f64) -> String {
        self.figure(format!("{db:.1} dB"))
    }

    /// Why an automatic ceiling is no higher.
    pub fn why_no_higher(&self, stop: &NoHigher) -> String {
        let by_hum = |id: &str, hum: &ByHum, of: &[(&str, &str)]| {
            let (at, without) = (self.hz(hum.hz), self.ceiling(hum.without_db));
            self.say(id, &[of, &[("hum", &at), ("without", &without)]].concat())
        };
        match stop {
            NoHigher::Enough { lowest } => self.say("auto.enough", &[("string", self.note(lowest))]),
            NoHigher::String { string, hz, margin_db, hum } => {
                let (string, at) = (string.to_string(), self.hz(*hz));
                let of = [("string", &*string), ("hz", &at)];
                match hum {
                    Some(hum) => by_hum("auto.string_hum", hum, &of),
                    None => {
                        let margin = self.ceiling(*margin_db);
                        self.say("auto.string", &[&of[..], &[("margin", &margin)]].concat())
                    }
                }
            }
            NoHigher::Rumble { hum: Some(hum), .. } => by_hum("auto.rumble_hum", hum, &[]),
            NoHigher::Rumble { margin_db, hum: None } => {
                self.say("auto.rumble", &[("margin", &self.ceiling(*margin_db))])
            }
        }
    }

    /// The same, and what the strings that noise does not drown would allow; those that it drowns with what of them, in Hz.
    pub fn why_but_others(&self, why: &str, drowned: &[(&Pitch, f64)], ceiling_db: f64) -> String {
        let place = |(string, hz): &(&Pitch, f64)| {
            self.say("auto.place", &[("string", &string.to_string()), ("hz", &self.hz(*hz))])
        };
        let places = drowned.iter().map(place).collect::<Vec<_>>().join(self.get("auto.and"));
        let ceiling = self.ceiling(ceiling_db);
        self.say("auto.others", &[("why", why), ("places", &places), ("ceiling", &ceiling)])
    }

    /// A frequency to two figures and more: "27 Hz", "140 Hz", "4.1 kHz".
    pub fn hz(&self, hz: f64) -> String {
        self.figure(match hz {
            ..9.95 => format!("{hz:.1} Hz"),
            ..999.5 => format!("{hz:.0} Hz"),
            ..9950.0 => format!("{:.1} kHz", hz / 1e3),
            _ => format!("{:.0} kHz", hz / 1e3),
        })
    }

    /// A resistance as the trade writes it, to three figures.
    pub fn ohms(&self, ohms: f64) -> String {
        let value = Resistance::from_ohms(ohms);
        self.figure(value.map_or_else(|_| format!("{ohms:.3e} Ω"), |value| format!("{value:.3}")))
    }

    /// A text that stands by itself: with a capital letter and a full stop.
    pub fn sentence(&self, text: &str) -> String {
        let mut letters = text.chars();
        let first = letters.next().into_iter().flat_map(char::to_uppercase);
        first.chain(letters).chain(['.']).collect()
    }

    /// A string by its note, without the octave.
    pub fn note(&self, pitch: &Pitch) -> &'static str {
        let plain = pitch.letter().replace('♯', "#").replace('♭', "b");
        self.get(&format!("pitch.{plain}"))
    }

    /// A string by its note with the octave.
    pub fn pitch(&self, pitch: &Pitch) -> String {
        let name = pitch.to_string();
        format!("{}{}", self.note(pitch), &name[pitch.letter().len()..])
    }
}

fn is_number(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit()) && !text.contains(' ')
}
