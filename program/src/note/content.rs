//! What the note says.

use dsp_core::circuit::{Link, Pickups, Spread};
use dsp_core::response::{InputNeeded, Keeps, Merit, Response};
use firstjack_words::Words;

use super::drawing::Drawing;
use super::{LONGEST_NAME, Subject, cable, order};
use crate::source::{NamedChain, Strings};
use crate::typeset::shortened;

/// More setups than this are counted, not listed.
const MOST_OFFERS: usize = 12;

/// More sentences than this are left out: those that come first matter most.
const MOST_SENTENCES: usize = 4;

/// The longest title, and the longest list of strings, in characters.
const LONGEST_TITLE: usize = 60;
const LONGEST_TUNING: usize = 120;

/// A note's content, in the reader's language.
#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    pub(super) language: &'static str,
    /// "Crew note".
    pub(super) title: &'static str,
    /// Which setups: title of the file, venue.
    pub(super) about: String,
    /// "Crew note: Courtyard", for a window's title.
    pub(super) page_title: String,
    pub(super) verdict: String,
    pub(super) sentences: Vec<String>,
    pub(super) ask_title: &'static str,
    pub(super) ask: String,
    pub(super) items: Vec<Item>,
    pub(super) chain_title: &'static str,
    pub(super) drawing: Drawing,
    pub(super) legend: [&'static str; 2],
    pub(super) offers_title: String,
    pub(super) offers: Vec<Offer>,
    /// How many setups are not listed, if any.
    pub(super) more_offers: Option<String>,
    pub(super) cautions_title: &'static str,
    pub(super) cautions: [&'static str; 4],
}

/// A term and what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    pub term: &'static str,
    pub text: String,
}

/// A setup that there is.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Offer {
    /// Counted from zero, in the order of the file.
    pub setup: usize,
    pub text: String,
    /// Said of the best one.
    pub mark: Option<&'static str>,
}

/// A setup with its figures.
struct Heard<'a> {
    setup: &'a NamedChain,
    pickups: Pickups,
    merit: Merit,
}

impl Note {
    /// # Panics
    /// Never: there is at least one setup.
    pub fn new(subject: &Subject, words: &Words) -> Self {
        let heard: Vec<Heard> = subject.setups.iter().map(|setup| Heard::new(setup, subject)).collect();
        let mut ranked: Vec<usize> = (0..heard.len()).collect();
        ranked.sort_by(|a, b| heard[*a].merit.order(&heard[*b].merit));
        let about = &heard[subject.chosen.unwrap_or(ranked[0])];
        let (lowest, lowest_hz) = (&subject.strings.lowest, subject.lowest_hz());
        let chain = &about.setup.chain;
        let mut sentences = words.facts(&about.pickups, chain, lowest, lowest_hz);
        sentences.truncate(MOST_SENTENCES);
        if heard.iter().any(Heard::has_tolerances) {
            sentences.push(words.get("range.told").to_owned());
        }
        let title = shortened(subject.title, LONGEST_TITLE);
        let (ask_title, ask) = ask(about, subject, words);
        let item = |term, text| Item { term: words.get(term), text };
        Self {
            language: words.language(),
            title: words.get("note.title"),
            about: about_words(&title, subject.venue, words),
            page_title: words.say("note.page_title", &[("title", &title)]),
            verdict: about.verdict(subject, words),
            sentences,
            ask_title,
            ask,
            items: vec![
                item("note.instrument", instrument(subject.strings, words)),
                item("note.pickup", words.pickups(&about.pickups)),
                item("note.order", order::advice(&about.pickups, chain, subject, words)),
                item("note.cable", cable::limits(&about.pickups, chain, words)),
            ],
            chain_title: words.get("note.chain"),
            drawing: Drawing::new(&about.pickups, chain, words),
            legend: [words.get("note.legend_loads"), words.get("note.legend_free")],
            offers_title: offers_title(about.merit, words),
            offers: offers(&heard, &ranked, subject, words),
            more_offers: heard
                .len()
                .checked_sub(MOST_OFFERS)
                .filter(|more| *more > 0)
                .map(|more| words.say("note.beside", &[("count", &more.to_string())])),
            cautions_title: words.get("note.cautions"),
            cautions: words.cautions(subject.pickups),
        }
    }
}

impl<'a> Heard<'a> {
    fn new(setup: &'a NamedChain, subject: &Subject) -> Self {
        let pickups = subject.pickups.with_positions(setup.positions);
        let response = Response::new(&pickups, &setup.chain);
        let merit = Merit::of(&response, subject.lowest_hz());
        Self { setup, pickups, merit }
    }

    fn has_tolerances(&self) -> bool {
        Spread::of(&self.pickups, [&self.setup.chain]).is_some()
    }

    fn verdict(&self, subject: &Subject, words: &Words) -> String {
        let name = shortened(&self.setup.name, LONGEST_NAME);
        let (lowest, lowest_hz) = (&subject.strings.lowest, subject.lowest_hz());
        words.verdict_of(&self.pickups, &self.setup.chain, lowest, lowest_hz, &words.through(&name))
    }
}

fn about_words(title: &str, venue: Option<&str>, words: &Words) -> String {
    let venue = venue.map(|venue| words.say("note.venue", &[("venue", &shortened(venue, LONGEST_NAME))]));
    [Some(title.to_owned()), venue].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

fn instrument(strings: &Strings, words: &Words) -> String {
    let pitches: Vec<String> = strings.pitches.iter().map(|pitch| words.pitch(pitch)).collect();
    let tuning = shortened(&pitches.join(" "), LONGEST_TUNING);
    let name = words.instrument(&strings.instrument_id);
    words.say("note.instrument_strings", &[("instrument", name), ("strings", &tuning)])
}

/// What to ask for, under its heading. Of one capacitive pickup with a box alone the resistance is that of all inputs in parallel.
fn ask(about: &Heard, subject: &Subject, words: &Words) -> (&'static str, String) {
    let chain = &about.setup.chain;
    let needed = InputNeeded::new(&about.pickups, chain, subject.lowest_hz(), subject.max_loss_db);
    let asked = words.asked(&needed, subject.max_loss_db);
    if needed.from_ohms.is_none() {
        return (words.get("note.ask_else"), asked);
    }
    let alone = chain.loading().filter_map(Link::name).count() <= 1;
    let asked = if alone && matches!(needed.keeps, Keeps::Level(_)) {
        format!("{asked}, {}", words.get("note.ask_together"))
    } else {
        asked
    };
    (words.get("note.ask"), asked)
}

fn offers_title(merit: Merit, words: &Words) -> String {
    let rule = match merit {
        Merit::LossDb(_) => words.get("note.first_rule_level"),
        Merit::TopHz(_) => words.get("note.first_rule_top"),
    };
    format!("{}, {rule}", words.get("note.offers"))
}

fn offers(heard: &[Heard], ranked: &[usize], subject: &Subject, words: &Words) -> Vec<Offer> {
    let offer = |(rank, setup): (usize, &usize)| {
        let one = &heard[*setup];
        let verdict = one.verdict(subject, words);
        let venue = one.setup.venue.as_deref().filter(|_| subject.venue.is_none());
        let text = venue.map_or(verdict.clone(), |venue| {
            let venue = shortened(venue, LONGEST_NAME);
            words.say("note.venue_of", &[("verdict", &verdict), ("venue", &venue)])
        });
        Offer { setup: *setup, text, mark: (rank == 0).then(|| words.get("note.first")) }
    };
    ranked.iter().take(MOST_OFFERS).enumerate().map(offer).collect()
}
