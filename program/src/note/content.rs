//! What the note says.

use dsp_core::circuit::{Chain, Link, Pickups, Spread};
use dsp_core::preset::Phantom;
use dsp_core::response::{InputNeeded, Keeps};
use firstjack_words::Words;

use super::crew::{self, Field};
use super::{LONGEST_NAME, Subject, cable, drawing, give, order};
use crate::advice::{Advice, Way};
use crate::paper::Drawing;
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
    pub(super) give_title: &'static str,
    /// What to give, the first thing on the page.
    pub(super) give: String,
    /// What it comes to, and what there is otherwise.
    pub(super) besides: Vec<String>,
    /// What the crew fills in.
    pub(super) fields: Vec<Field>,
    pub(super) sentences: Vec<String>,
    pub(super) items: Vec<Item>,
    pub(super) chain_title: &'static str,
    pub(super) drawing: Drawing,
    pub(super) legend: [&'static str; 2],
    pub(super) offers_title: String,
    pub(super) offers: Vec<Offer>,
    /// How many setups are not listed, if any.
    pub(super) more_offers: Option<String>,
    /// Why one is ahead of another, and whether the order holds.
    pub(super) of_order: Vec<String>,
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

impl Note {
    /// # Panics
    /// Never: there is at least one setup.
    pub fn new(subject: &Subject, words: &Words) -> Self {
        let advice = Advice::new(subject.situation());
        let about = match &advice {
            Some(advice) => About { setup: advice.doing.setup, chain: advice.doing.chain.clone() },
            None => About { setup: 0, chain: subject.setups[0].chain.clone() },
        };
        let pickups = &subject.pickups.with_positions(subject.setups[about.setup].positions);
        let title = shortened(subject.title, LONGEST_TITLE);
        let (ask_title, ask) = ask(pickups, &about.chain, subject, words);
        let item = |term, text| Item { term, text };
        let named = |term, text| item(words.get(term), text);
        let (give, besides) = given(advice.as_ref(), &about, subject, words);
        Self {
            language: words.language(),
            title: words.get("note.title"),
            about: about_words(&title, subject.venue, words),
            page_title: words.say("note.page_title", &[("title", &title)]),
            give_title: words.get("give.title"),
            give,
            besides,
            fields: crew::fields(subject.crew, words),
            sentences: sentences(advice.as_ref(), pickups, &about.chain, subject, words),
            items: vec![
                named("note.instrument", instrument(subject.strings, words)),
                named("note.pickup", words.pickups(pickups)),
                item(ask_title, ask),
                named(
                    "note.order",
                    order::advice(
                        advice.as_ref(),
                        pickups,
                        &subject.setups[about.setup].chain,
                        subject,
                        words,
                    ),
                ),
                named("note.cable", cable::limits(pickups, &about.chain, words)),
            ],
            chain_title: words.get("note.chain"),
            drawing: drawing::of_chain(pickups, &about.chain, words),
            legend: [words.get("note.legend_loads"), words.get("note.legend_free")],
            offers_title: offers_title(pickups, words),
            offers: offers(advice.as_ref(), subject, words),
            more_offers: subject
                .setups
                .len()
                .checked_sub(MOST_OFFERS)
                .filter(|more| *more > 0)
                .map(|more| words.say("note.beside", &[("count", &more.to_string())])),
            of_order: advice
                .iter()
                .flat_map(|advice| [advice.tie(words), advice.holding(words)])
                .flatten()
                .collect(),
            cautions_title: words.get("note.cautions"),
            cautions: words.cautions(subject.pickups),
        }
    }
}

/// The setup that a note is about, counted from zero, and its chain as it is to be plugged in.
struct About {
    setup: usize,
    chain: Chain,
}

/// The large sentence and what is said besides.
fn given(advice: Option<&Advice>, about: &About, subject: &Subject, words: &Words) -> (String, Vec<String>) {
    let verdict = verdict(&subject.setups[about.setup], subject, words);
    match advice {
        Some(advice) => (give::give(advice, words), give::besides(advice, &verdict, subject.crew, words)),
        None => (words.get("give.nothing").to_owned(), vec![words.sentence(&verdict)]),
    }
}

/// What phantom power calls for, what shaped the response, and what the advice depends on.
fn sentences(
    advice: Option<&Advice>,
    pickups: &Pickups,
    chain: &Chain,
    subject: &Subject,
    words: &Words,
) -> Vec<String> {
    let mut facts = words.facts(pickups, chain, &subject.strings.lowest, subject.lowest_hz());
    let phantom = subject.crew.phantom == Some(Phantom::On) && !crew::has_transformer(chain);
    // It has the room of two facts.
    facts.truncate(if phantom { MOST_SENTENCES - 2 } else { MOST_SENTENCES });
    let phantom = phantom.then(|| words.get("crew.phantom_on").to_owned());
    let mut sentences: Vec<String> = phantom.into_iter().chain(facts).collect();
    if Spread::of(subject.pickups, subject.setups.iter().map(|setup| &setup.chain)).is_some() {
        sentences.push(words.get("range.told").to_owned());
    }
    sentences.extend(advice.and_then(|advice| advice.doubt(words)));
    sentences
}

fn verdict(setup: &NamedChain, subject: &Subject, words: &Words) -> String {
    let name = shortened(&setup.name, LONGEST_NAME);
    let pickups = subject.pickups.with_positions(setup.positions);
    let (lowest, lowest_hz) = (&subject.strings.lowest, subject.lowest_hz());
    words.verdict_of(&pickups, &setup.chain, lowest, lowest_hz, &words.through(&name))
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

/// What is needed, under its heading. Of one capacitive pickup with a box alone the resistance is that of all inputs in parallel.
fn ask(pickups: &Pickups, chain: &Chain, subject: &Subject, words: &Words) -> (&'static str, String) {
    let needed = InputNeeded::new(pickups, chain, subject.lowest_hz(), subject.max_loss_db);
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

fn offers_title(pickups: &Pickups, words: &Words) -> String {
    let is_magnetic = (0..pickups.count()).all(|index| pickups.pickup(index).is_magnetic());
    let rule = words.get(if is_magnetic { "note.first_rule_top" } else { "note.first_rule_level" });
    format!("{}, {rule}", words.get("note.offers"))
}

/// All setups in order, those that nothing is plugged into last.
fn offers(advice: Option<&Advice>, subject: &Subject, words: &Words) -> Vec<Offer> {
    let mut order = advice.map_or_else(Vec::new, |advice| advice.order.clone());
    order.extend((0..subject.setups.len()).filter(|setup| !order.contains(setup)).collect::<Vec<_>>());
    let first = match advice {
        Some(advice) if advice.is_enough() && advice.doing.way == Way::AsItIs => "note.first",
        Some(advice) if advice.is_enough() && advice.order.first() == Some(&advice.doing.setup) => {
            "note.first_as_above"
        }
        Some(_) if subject.setups.len() == 1 => "note.first_of_one",
        _ => "note.first_of_bad",
    };
    let offer = |(rank, setup): (usize, usize)| {
        let one = &subject.setups[setup];
        let verdict = verdict(one, subject, words);
        let venue = one.venue.as_deref().filter(|_| subject.venue.is_none());
        let text = venue.map_or(verdict.clone(), |venue| {
            let venue = shortened(venue, LONGEST_NAME);
            words.say("note.venue_of", &[("verdict", &verdict), ("venue", &venue)])
        });
        Offer { setup, text, mark: (rank == 0).then(|| words.get(first)) }
    };
    order.into_iter().take(MOST_OFFERS).enumerate().map(offer).collect()
}
