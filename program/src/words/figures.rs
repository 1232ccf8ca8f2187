//! Figures as a language writes them.

use std::fmt::Display;

use dsp_core::response::{SpokenDb, spoken_hz, spoken_ohms};
use dsp_core::units::Pitch;

use super::Words;

impl Words {
    /// A figure, with its unit if it has one, with the language's decimal point.
    pub fn figure(&self, figure: impl Display) -> String {
        figure.to_string().replace('.', self.get("number.point"))
    }

    /// A loss or a gain, as far as it is said.
    pub fn db(&self, db: f64) -> String {
        match SpokenDb::of(db) {
            SpokenDb::Everything => self.get("db.everything").to_owned(),
            SpokenDb::Hardly => self.get("db.hardly").to_owned(),
            SpokenDb::Figure(figure) => self.figure(figure),
        }
    }

    pub fn hz(&self, hz: f64) -> String {
        self.figure(spoken_hz(hz))
    }

    pub fn ohms(&self, ohms: f64) -> String {
        self.figure(spoken_ohms(ohms))
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
