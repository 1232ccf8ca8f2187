//! Which sounds do listeners like better than which?

use serde::Serialize;

use super::gather::{Counted, Gathered, Listener};
use super::statistics::{Chance, Friedman, UNLIKELY, doubled_ranks, holm, p_two_sided};
use crate::format::sequence::labels;
use crate::format::{Kind, Page, Sound, Vote};

/// What came of all rankings.
#[derive(Debug, Serialize)]
pub struct Rankings {
    /// As they came in.
    pub sent: Vec<Sent>,
    /// Who sent more than one.
    pub same_names: Vec<SameName>,
    /// Of all listeners.
    pub all: Orders,
    /// Who put the hidden anchor before the hidden reference.
    pub doubtful: Vec<String>,
    /// Of all others, if there are any and some are doubtful.
    pub without_doubtful: Option<Orders>,
}

/// One ranking.
#[derive(Debug, Serialize)]
pub struct Sent {
    pub listener: String,
    /// What tells it from every other; `None` from pages that made nothing of the kind.
    pub ballot: Option<String>,
    pub place: String,
    /// The best first.
    pub order: Vec<Labelled>,
}

/// Rankings of one name: one person's, or several people's.
#[derive(Debug, Serialize)]
pub struct SameName {
    pub listener: String,
    /// Where they stand.
    pub places: Vec<String>,
    /// Whether they say the same.
    pub alike: bool,
}

/// A sound as a listener had it.
#[derive(Debug, Serialize)]
pub struct Labelled {
    #[serde(flatten)]
    pub sound: Sound,
    /// What it was called on the listener's page: Sound 1, 2, ...
    pub label: usize,
}

/// What listeners' orders have in common.
#[derive(Debug, Serialize)]
pub struct Orders {
    pub listeners: usize,
    /// The best first; ranks among all sounds.
    pub sounds: Vec<Ranked>,
    /// The setups, the best first; ranks among those, as if nothing else had been there. The take as recorded and the anchor only tell
    /// who listens.
    pub candidates: Vec<Ranked>,
    /// Of the setups. `None` for a single listener, a single setup, or no preference anywhere.
    pub friedman: Option<Test>,
    /// All pairs of setups, the least likely by luck first.
    pub pairs: Vec<Preference>,
    /// Where setups stand that a desk's equaliser has put right.
    pub rescued: Vec<Rescued>,
}

/// What a desk makes of a setup, put among the setups: it is none of its own, but a setup and what to do at the desk.
#[derive(Debug, Serialize)]
pub struct Rescued {
    #[serde(flatten)]
    pub ranked: Ranked,
    /// The setup just before it by mean ranks among the setups and it, if it is not the best of them.
    pub behind: Option<Sound>,
    /// The setup just after it, if it is not the last.
    pub before: Option<Sound>,
    /// Against each setup, the least likely by luck first; corrected for these.
    pub pairs: Vec<Preference>,
}

/// A sound and its place among all.
#[derive(Debug, Serialize)]
pub struct Ranked {
    #[serde(flatten)]
    pub sound: Sound,
    /// 1 is the best.
    pub mean_rank: f64,
}

/// Friedman's test.
#[derive(Debug, Serialize)]
pub struct Test {
    pub chi_square: f64,
    pub degrees: u32,
    /// By the chi-square distribution, for many listeners.
    pub p_chi_square: f64,
    /// By the orders that listeners without a preference might give: what the verdict goes by.
    pub p: f64,
    /// How many were drawn; `None` if all were counted.
    pub draws: Option<u32>,
    pub kendalls_w: f64,
}

/// Two sounds, by the sign test.
#[derive(Debug, Serialize)]
pub struct Preference {
    pub better: Sound,
    pub other: Sound,
    /// Listeners who put the better one first.
    pub for_better: u64,
    /// Listeners who put the other one first.
    pub for_other: u64,
    pub p: f64,
    /// Corrected for all pairs.
    pub p_holm: f64,
}

impl Test {
    pub fn comes_out(&self) -> bool {
        self.p <= UNLIKELY
    }
}

impl Preference {
    pub fn comes_out(&self) -> bool {
        self.p_holm <= UNLIKELY
    }
}

/// What rankings say; `None` without any.
pub fn rankings<'a>(gathered: &'a Gathered, page: &Page) -> Option<Rankings> {
    let row = |listener: &'a Listener| Row { listener: &listener.name, sent: Vec::new(), orders: Vec::new() };
    let mut rows: Vec<Row> = gathered.listeners.iter().map(row).collect();
    let mut sent = Vec::new();
    for Counted { listener, place, answer } in &gathered.answers {
        let Vote::Ranking(order) = &answer.vote else { continue };
        rows[*listener].sent.push(sent.len());
        rows[*listener].orders.push(order);
        sent.push(Sent {
            listener: gathered.listeners[*listener].name.clone(),
            ballot: answer.ballot.map(|ballot| format!("{ballot:016x}")),
            place: place.to_string(),
            order: labelled(order, answer.seed, page),
        });
    }
    rows.retain(|row| !row.sent.is_empty());
    if rows.is_empty() {
        return None;
    }
    let (doubtful, others): (Vec<&Row>, Vec<&Row>) = rows.iter().partition(|row| row.is_doubtful(page));
    Some(Rankings {
        same_names: rows.iter().filter_map(|row| row.same_name(&sent)).collect(),
        sent,
        all: Orders::new(&rows.iter().collect::<Vec<_>>(), page),
        without_doubtful: (!doubtful.is_empty() && !others.is_empty()).then(|| Orders::new(&others, page)),
        doubtful: doubtful.iter().map(|row| row.listener.to_owned()).collect(),
    })
}

/// One listener's rankings.
struct Row<'a> {
    listener: &'a str,
    /// Counted as they came in.
    sent: Vec<usize>,
    orders: Vec<&'a [usize]>,
}

impl Row<'_> {
    /// Of these sounds among themselves, added up over the rankings.
    fn places(&self, among: &[usize]) -> Vec<u32> {
        let mut places = vec![0; among.len()];
        for order in &self.orders {
            let columns = order.iter().filter_map(|sound| among.iter().position(|at| at == sound));
            (1u32..).zip(columns).for_each(|(place, column)| places[column] += place);
        }
        places
    }

    /// In the spirit of the screening of ITU-R BS.1534, which looks at how listeners grade the hidden reference.
    fn is_doubtful(&self, page: &Page) -> bool {
        let (Some(anchor), Some(recorded)) = (page.first(Kind::Anchor), page.first(Kind::Recorded)) else {
            return false;
        };
        let places = self.places(&[anchor, recorded]);
        places[0] < places[1]
    }

    fn same_name(&self, sent: &[Sent]) -> Option<SameName> {
        let keys = |at: &usize| sent[*at].order.iter().map(|labelled| &labelled.sound.key);
        let (first, others) = self.sent.split_first()?;
        (!others.is_empty()).then(|| SameName {
            listener: self.listener.to_owned(),
            places: self.sent.iter().map(|at| sent[*at].place.clone()).collect(),
            alike: others.iter().all(|other| keys(other).eq(keys(first))),
        })
    }
}

fn labelled(order: &[usize], seed: u32, page: &Page) -> Vec<Labelled> {
    let labels = labels(seed, page.held.len());
    let label = |sound| labels.iter().position(|at| page.held[*at] == sound).map_or(0, |at| at + 1);
    order.iter().map(|at| Labelled { sound: page.sounds[*at].clone(), label: label(*at) }).collect()
}

impl Orders {
    fn new(rows: &[&Row], page: &Page) -> Self {
        let all: Vec<usize> = (0..page.sounds.len()).collect();
        let setups = page.all(Kind::Setup);
        let among_setups = ranks(rows, &setups);
        let both = (0..setups.len()).flat_map(|one| (one + 1..setups.len()).map(move |other| [one, other]));
        Self {
            listeners: rows.len(),
            sounds: ranked(&ranks(rows, &all), page, &all),
            candidates: ranked(&among_setups, page, &setups),
            friedman: Friedman::new(&among_setups).map(Test::new),
            pairs: preferences(&among_setups, page, &setups, both),
            rescued: page
                .all(Kind::Rescue)
                .into_iter()
                .map(|it| Rescued::new(rows, page, &setups, it))
                .collect(),
        }
    }
}

impl Rescued {
    fn new(rows: &[&Row], page: &Page, setups: &[usize], rescue: usize) -> Self {
        let among: Vec<usize> = setups.iter().copied().chain([rescue]).collect();
        let ranks = ranks(rows, &among);
        let pairs = (0..setups.len()).map(|setup| [setups.len(), setup]);
        let pairs = preferences(&ranks, page, &among, pairs);
        let mut order = ranked(&ranks, page, &among);
        let at =
            order.iter().position(|ranked| ranked.sound.key == page.sounds[rescue].key).unwrap_or_default();
        let sound = |at: Option<usize>| at.and_then(|at| order.get(at)).map(|ranked| ranked.sound.clone());
        Self {
            behind: sound(at.checked_sub(1)),
            before: sound(Some(at + 1)),
            ranked: order.swap_remove(at),
            pairs,
        }
    }
}

/// Doubled, one row a listener and one column a sound.
fn ranks(rows: &[&Row], among: &[usize]) -> Vec<Vec<u32>> {
    rows.iter().map(|row| doubled_ranks(&row.places(among))).collect()
}

/// These sounds by their mean rank; `ranks` are doubled, one row a listener.
fn ranked(ranks: &[Vec<u32>], page: &Page, sounds: &[usize]) -> Vec<Ranked> {
    let mean = |column: usize| {
        let sum: u32 = ranks.iter().map(|row| row[column]).sum();
        f64::from(sum) / 2.0 / real(ranks.len())
    };
    let ranked = |(column, sound): (usize, &usize)| Ranked {
        sound: page.sounds[*sound].clone(),
        mean_rank: mean(column),
    };
    let mut sounds: Vec<Ranked> = sounds.iter().enumerate().map(ranked).collect();
    sounds.sort_by(|one, other| one.mean_rank.total_cmp(&other.mean_rank));
    sounds
}

impl Test {
    fn new(friedman: Friedman) -> Self {
        let Friedman { chi_square, degrees, p_chi_square, chance, kendalls_w } = friedman;
        let draws = match chance {
            Chance::Exact(_) => None,
            Chance::Drawn { draws, .. } => Some(draws),
        };
        Self { chi_square, degrees, p_chi_square, p: chance.p(), draws, kendalls_w }
    }
}

/// Of each two columns, the least likely by luck first, corrected for all of these.
fn preferences(
    ranks: &[Vec<u32>],
    page: &Page,
    sounds: &[usize],
    pairs: impl Iterator<Item = [usize; 2]>,
) -> Vec<Preference> {
    let sound = |column: usize| page.sounds[sounds[column]].clone();
    let mut preferences: Vec<Preference> =
        pairs.map(|pair| preference(ranks, pair, pair.map(sound))).collect();
    let corrected = holm(&preferences.iter().map(|pair| pair.p).collect::<Vec<_>>());
    preferences.iter_mut().zip(corrected).for_each(|(pair, p_holm)| pair.p_holm = p_holm);
    preferences.sort_by(|one, other| one.p.total_cmp(&other.p));
    preferences
}

fn preference(ranks: &[Vec<u32>], [one, other]: [usize; 2], sounds: [Sound; 2]) -> Preference {
    let before = |one: usize, other: usize| ranks.iter().filter(|row| row[one] < row[other]).count() as u64;
    let (for_one, for_other) = (before(one, other), before(other, one));
    let p = p_two_sided(for_one, for_other);
    let [one, other] = sounds;
    let (better, other, for_better, for_other) =
        if for_other > for_one { (other, one, for_other, for_one) } else { (one, other, for_one, for_other) };
    Preference { better, other, for_better, for_other, p, p_holm: p }
}

#[expect(clippy::cast_precision_loss, reason = "a count of listeners")]
fn real(count: usize) -> f64 {
    count as f64
}
