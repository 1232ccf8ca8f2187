//! What a page says, from what was measured.

use std::collections::BTreeMap;
use std::io;

use firstjack_words::Words;

use super::figures::Figures;
use super::identity::{Fingerprint, Keys};
use super::page::{About, Markup};
use super::pairs::{Asked, Why};
use super::plan::Plan;
use super::rescue::sheet_html;
use super::sound::{Codec, Encoded, Stage, Waveform, frames_at};
use crate::format::sequence::seal;
use crate::format::{Data, Held, Named, Opened, Sealed, SealedSound, Sections, VERSION, Voted, json};
use crate::passes::Levels;

/// What a page is made of.
#[derive(Clone, Copy)]
pub struct Composer<'a> {
    pub plan: &'a Plan,
    pub stage: &'a Stage<'a>,
    pub levels: &'a Levels,
    pub encoded: &'a [Encoded],
    pub waveform: &'a Waveform,
    pub codec: Codec,
    pub words: &'a Words,
}

/// A page without its sounds.
pub struct Composed {
    pub markup: Markup,
    pub keys: Keys,
    /// What answers name the page by.
    pub pack: String,
}

impl Composer<'_> {
    /// Rate that sounds are stored at.
    pub fn rate_hz(&self) -> u32 {
        self.codec.rate_hz(self.stage.rate_hz())
    }

    /// Frames of each sound as it is stored.
    pub fn frames(&self) -> u64 {
        frames_at(self.stage.excerpt.frames, self.stage.rate_hz(), self.rate_hz())
    }

    /// On a page that is made blind all that tells is sealed.
    pub fn compose(&self, blind: bool, seed: u32) -> io::Result<Composed> {
        let keys = Keys::new(self.fingerprint(seed), self.encoded.len());
        let sections = self.sections(&keys.keys, blind)?;
        let mut opened = self.opened(&keys.keys, &sections);
        let mut data = self.data(&keys, blind);
        data.voted.pack = self.pack(&data, &opened);
        if !blind {
            opened.sections = None;
        }
        data.voted.sealed = seal(&data.voted.pack, &json(&opened));
        let markup = Markup {
            title: self.plan.title.clone(),
            subtitle: self.subtitle(),
            data: json(&data),
            cautions: self.words.cautions(&self.plan.recorded.pickups),
            sections: (!blind).then_some(sections),
        };
        Ok(Composed { markup, keys, pack: data.voted.pack })
    }

    /// Of the sounds and what they are called.
    fn fingerprint(&self, seed: u32) -> Fingerprint {
        let mut fingerprint = Fingerprint::default();
        fingerprint.add(seed.to_le_bytes());
        for (sound, encoded) in self.plan.sounds.iter().zip(self.encoded) {
            fingerprint.add(sound.name.given());
            fingerprint.add(encoded.digest);
        }
        fingerprint
    }

    /// Of everything that the page has in it.
    fn pack(&self, data: &Data, opened: &Opened) -> String {
        let mut fingerprint = Fingerprint::default();
        fingerprint.add(&self.plan.title);
        fingerprint.add(self.plan.venue.as_deref().unwrap_or_default());
        fingerprint.add(json(data));
        fingerprint.add(json(opened));
        self.encoded.iter().for_each(|sound| fingerprint.add(sound.digest));
        fingerprint.name()
    }

    fn sections(&self, keys: &[String], blind: bool) -> io::Result<Sections> {
        let Plan { recorded, setups, rescues, rescued, .. } = self.plan;
        let (take, strings) = (recorded.unchanged(), &recorded.strings);
        let figures = Figures::new(&recorded.pickups, take, setups, strings, keys, self.words);
        Ok(Sections {
            verdicts: figures.verdicts_html(),
            curves: figures.curves_html(),
            strings: figures.strings_html(),
            rescue: sheet_html(rescues, strings, keys, *rescued, self.words),
            note: self.plan.note(self.words).html(keys),
            about: About::new(self, keys, blind).html().map_err(io::Error::other)?,
        })
    }

    fn opened(&self, keys: &[String], sections: &Sections) -> Opened {
        let sound = |(index, key): (usize, &String)| {
            let (sound, level) = (&self.plan.sounds[index], self.levels.each[index]);
            let sealed = SealedSound {
                named: Named { name: sound.name.to_string(), kind: sound.kind },
                verdict: sound.verdict.clone(),
                loss_db: sound.loss_db,
                lufs: level.lufs,
                matching_db: level.matching_db(),
                truth_gain: self.levels.truth_gain(index),
            };
            (key.clone(), sealed)
        };
        Opened {
            sealed: Sealed { order: keys.to_vec(), sounds: keys.iter().enumerate().map(sound).collect() },
            sections: Some(sections.clone()),
        }
    }

    /// Without a name and with nothing sealed yet.
    fn data(&self, keys: &Keys, blind: bool) -> Data {
        let stored = |(number, index): (usize, &usize)| Held {
            key: keys.keys[*index].clone(),
            block: format!("sound-{number}"),
        };
        let words = self.words.all("page.");
        let asked = &self.plan.asked;
        let pair_of = |pair: &Asked| pair.sounds.map(|index| keys.keys[index].clone());
        Data {
            voted: Voted {
                version: VERSION,
                pack: String::new(),
                sounds: keys.shuffled.iter().enumerate().map(stored).collect(),
                sealed: String::new(),
            },
            language: self.words.language(),
            blind,
            rate_hz: self.rate_hz(),
            frames: self.frames(),
            channels: self.stage.channels(),
            codec: self.codec.name(),
            mime: self.codec.mime(),
            waveform: self.waveform.steps(),
            abx: asked.iter().find(|pair| pair.why == Why::Named).map(pair_of),
            abx_pairs: asked.iter().map(pair_of).collect(),
            words: words.collect::<BTreeMap<_, _>>(),
        }
    }

    fn subtitle(&self) -> String {
        let seconds = format!("{:.1}", self.stage.seconds()).replace('.', self.words.get("number.point"));
        let count = self.plan.sounds.len().to_string();
        let take = self.words.say("pack.subtitle", &[("count", &count), ("seconds", &seconds)]);
        match &self.plan.venue {
            Some(venue) => format!("{} · {take}", self.words.say("note.venue", &[("venue", venue)])),
            None => take,
        }
    }
}
