//! A rescue in words.

use dsp_core::response::Range;
use firstjack_equaliser::{Band, BandKind};
use firstjack_words::Words;
use firstjack_words::signed::{boost, signed};

use super::rescued::{Control, NO_GAIN_DB, Reach, Rescue, StringReach};

/// Less than this, in dB, is not called wrong.
const RIGHT_DB: f64 = 0.5;

/// From here on, in dB, tolerances make another sound of what is needed.
const WIDE_DB: f64 = 1.0;

/// From here on, in dB, boosted lows are told what they do on stage (common practice, no source).
const STAGE_DB: f64 = 3.0;

impl Rescue {
    /// Whether nothing is to be put right.
    pub fn is_needless(&self) -> bool {
        self.needed_at_most_db < RIGHT_DB
    }

    /// The first line: what comes back of the lowest string, what does not, and what rises with it; or that it should be left alone.
    pub fn verdict(&self, words: &Words) -> String {
        if self.is_needless() {
            return words.say("rescue.nothing", &[("db", &words.db(self.needed_at_most_db))]);
        }
        if !self.advised {
            return self.warning(words);
        }
        let reached = self.reached(words);
        if self.noise_rises_db < RIGHT_DB {
            return reached;
        }
        let noise = words.noise(self.noise, self.noise_rises_db);
        words.say("rescue.with_noise", &[("reached", &reached), ("noise", &noise)])
    }

    /// That more is needed than a desk should give.
    fn warning(&self, words: &Words) -> String {
        let limit = words.db(self.limit_db);
        let StringReach { pitch, reach } = self.lowest();
        if self.is_about_lows() {
            let needed = words.db(reach.needed_db);
            return words.say(
                "rescue.dont",
                &[("string", words.note(pitch)), ("needed", &needed), ("limit", &limit)],
            );
        }
        let most = self.curve.iter().max_by(|a, b| a.needed_db.total_cmp(&b.needed_db)).expect("has points");
        let (hz, needed) = (words.hz(most.hz), words.db(most.needed_db));
        words.say("rescue.dont_at", &[("hz", &hz), ("needed", &needed), ("limit", &limit)])
    }

    /// What the settings give back, of the lowest string if that has lost something.
    fn reached(&self, words: &Words) -> String {
        if self.worst.left_db.abs() < RIGHT_DB {
            return words.say("rescue.whole", &[("db", &words.db(self.worst.left_db))]);
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

    /// What to do in its place, where the desk is not what should do it.
    pub fn instead(&self, words: &Words) -> Option<&'static str> {
        let id = if self.input_takes_it { "rescue.instead" } else { "rescue.instead_controls" };
        (!self.advised && !self.is_needless()).then(|| words.get(id))
    }

    /// What is behind it, one sentence each.
    pub fn sentences(&self, words: &Words) -> Vec<String> {
        if self.is_needless() {
            return vec![words.get("rescue.leave").to_owned()];
        }
        let mut all = if self.advised { self.what_is_wrong(words) } else { self.how_far(words) };
        let Range { low, high } = self.needed_range_db;
        if high - low >= WIDE_DB {
            all.push(words.say("rescue.spread", &[("range", &words.db_range(self.needed_range_db))]));
        }
        if self.headroom_db >= STAGE_DB {
            all.push(words.say("rescue.headroom", &[("db", &words.db(self.headroom_db))]));
        }
        all
    }

    /// How far the settings go that stay within the limit.
    fn how_far(&self, words: &Words) -> Vec<String> {
        let within = words.say("rescue.within", &[("limit", &words.db(self.limit_db))]);
        let noise = words.noise(self.noise, self.noise_rises_db);
        vec![within, words.sentence(&self.reached(words)), words.sentence(&noise)]
    }

    fn what_is_wrong(&self, words: &Words) -> Vec<String> {
        if self.worst.left_db.abs() < RIGHT_DB {
            return Vec::new();
        }
        let mut all = Vec::new();
        if self.is_about_lows() {
            all.push(self.worst_said(words, "rescue.worst_lacks", "rescue.worst_over"));
        }
        all.push(words.say("rescue.typical", &[("rms", &words.db(self.left_rms_db))]));
        if self.left_rms_db >= RIGHT_DB && !self.at_stops.is_empty() {
            let controls: Vec<String> = self.at_stops.iter().map(|control| control.name(words)).collect();
            all.push(words.say("rescue.stops", &[("controls", &controls.join(", "))]));
        }
        all
    }
}

/// What holds for all of them: what rises, and what comes through on stage.
pub fn in_general(rescues: &[Rescue], words: &Words) -> Vec<&'static str> {
    let used = || rescues.iter().filter(|rescue| !rescue.is_needless());
    let rises = used().any(|rescue| rescue.noise_rises_db >= RIGHT_DB);
    let is_on_stage = used().any(|rescue| rescue.is_about_lows() && rescue.headroom_db >= STAGE_DB);
    let all = [(rises, "rescue.together"), (is_on_stage, "rescue.stage")];
    all.into_iter().filter(|(holds, _)| *holds).map(|(_, id)| words.get(id)).collect()
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
            Self::BellsApart => words.get("rescue.bells_apart").to_owned(),
        }
    }
}
