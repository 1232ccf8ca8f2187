//! A rescue in words.

use firstjack_equaliser::{Band, BandKind};
use firstjack_words::Words;
use firstjack_words::signed::{boost, signed};

use super::rescued::{Control, NO_GAIN_DB, Reach, Rescue, StringReach};

/// Less than this, in dB, is not called wrong.
const RIGHT_DB: f64 = 0.5;

impl Rescue {
    /// Whether nothing is to be put right.
    pub fn is_needless(&self) -> bool {
        self.needed_at_most_db < RIGHT_DB
    }

    /// The first line: what comes back of the lowest string, and what does not.
    pub fn verdict(&self, words: &Words) -> String {
        let within = |id: &str, most_db: f64| words.say(id, &[("db", &words.db(most_db))]);
        if self.is_needless() {
            return within("rescue.nothing", self.needed_at_most_db);
        }
        if self.worst.left_db.abs() < RIGHT_DB {
            return within("rescue.whole", self.worst.left_db);
        }
        if !self.is_about_lows() {
            return self.worst_said(words, "rescue.partly_lacks", "rescue.partly_over");
        }
        let StringReach { pitch, reach } = self.lowest();
        let Reach { needed_db, given_db, left_db, .. } = *reach;
        let id = match left_db {
            RIGHT_DB.. => "rescue.lacks",
            _ if left_db > -RIGHT_DB => "rescue.back",
            _ => "rescue.over",
        };
        let string = words.note(pitch);
        let [given, needed, left] = [given_db, needed_db, left_db].map(|value| words.db(value));
        words.say(id, &[("string", string), ("given", &given), ("needed", &needed), ("left", &left)])
    }

    /// Whether the lowest string has lost something; a coil's loss is at the top.
    fn is_about_lows(&self) -> bool {
        !self.magnetic && self.lowest().reach.needed_db >= RIGHT_DB
    }

    fn worst_said(&self, words: &Words, lacks: &str, over: &str) -> String {
        let Reach { hz: worst_hz, left_db, .. } = self.worst;
        let id = if left_db > 0.0 { lacks } else { over };
        words.say(id, &[("hz", &words.hz(worst_hz)), ("left", &words.db(left_db))])
    }

    /// What is behind it, one sentence each.
    pub fn sentences(&self, words: &Words) -> Vec<String> {
        if self.is_needless() {
            return vec![words.get("rescue.leave").to_owned()];
        }
        let mut all = Vec::new();
        let is_right = self.worst.left_db.abs() < RIGHT_DB;
        if !is_right && self.is_about_lows() {
            all.push(self.worst_said(words, "rescue.worst_lacks", "rescue.worst_over"));
        }
        if !is_right {
            all.push(words.say("rescue.typical", &[("rms", &words.db(self.left_rms_db))]));
        }
        if self.noise_rises_db >= RIGHT_DB {
            all.push(words.sentence(&words.noise(self.noise, self.noise_rises_db)));
        }
        if !is_right && !self.at_stops.is_empty() {
            let controls: Vec<String> = self.at_stops.iter().map(|control| control.name(words)).collect();
            all.push(words.say("rescue.stops", &[("controls", &controls.join(", "))]));
        }
        all
    }
}

/// What a band is called; `number` counts the bells from one.
pub fn name(number: usize, band: &Band, words: &Words) -> String {
    match band.kind {
        BandKind::LowShelf => words.get("rescue.shelf").to_owned(),
        BandKind::Bell => words.say("rescue.bell", &[("number", &number.to_string())]),
    }
}

/// What a band is set to, in columns: frequency, gain, and of a bell its Q. A band that does nothing is flat.
pub fn settings(band: &Band, words: &Words) -> [String; 3] {
    if band.gain_db.abs() < NO_GAIN_DB {
        return [words.get("rescue.flat").to_owned(), String::new(), String::new()];
    }
    let q = if band.kind == BandKind::Bell { signed(words, band.q, 2) } else { String::new() };
    [words.hz(band.hz), boost(words, band.gain_db), q]
}

impl Control {
    fn name(self, words: &Words) -> String {
        let of_bell = |id: &str, number: usize| words.say(id, &[("number", &number.to_string())]);
        match self {
            Self::ShelfHz => words.get("rescue.shelf_hz").to_owned(),
            Self::ShelfGain => words.get("rescue.shelf_gain").to_owned(),
            Self::BellHz(number) => of_bell("rescue.bell_hz", number),
            Self::BellGain(number) => of_bell("rescue.bell_gain", number),
            Self::BellQ(number) => of_bell("rescue.bell_q", number),
        }
    }
}
