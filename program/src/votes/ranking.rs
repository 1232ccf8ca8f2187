//! Which sounds do listeners like better than which?

use serde::Serialize;

use super::gather::{Counted, Gathered};
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
    /// What can be plugged in, the best first; ranks among those, as if the take as recorded and the anchor had not been there. All
    /// that follows is about these: the other two only tell who listens.
    pub candidates: Vec<Ranked>,
    /// `None` for a single listener, a single candidate, or no preference anywhere.
    pub friedman: Option<Test>,
    /// All pairs of candidates, the least likely by luck first.
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
pub fn rankings(gathered: &Gathered, page: &Page) -> Option<Rankings> {
    let candidates = page.candidates();
    let mut rows: Vec<Row> =
        gathered.listeners.iter().map(|listener| Row::new(&listener.name, page, &candidates)).collect();
    let mut sent = Vec::new();
    for Counted { listener, place, answer } in &gathered.answers {
        let Vote::Ranking(order) = &answer.vote else { continue };
        rows[*listener].add(order, sent.len());
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
        all: Orders::new(&rows.iter().collect::<Vec<_>>(), page, &candidates),
        without_doubtful: (!doubtful.is_empty() && !others.is_empty())
            .then(|| Orders::new(&others, page, &candidates)),
        doubtful: doubtful.iter().map(|row| row.listener.to_owned()).collect(),
    })
}

/// One listener's places, added up over that listener's rankings.
struct Row<'a> {
    listener: &'a str,
    /// Counted as they came in.
    sent: Vec<usize>,
    /// Of all sounds among all.
    among_all: Vec<u32>,
    /// Of candidates among those.
    among_candidates: Vec<u32>,
    candidates: &'a [usize],
}

impl<'a> Row<'a> {
    fn new(listener: &'a str, page: &Page, candidates: &'a [usize]) -> Self {
        Self {
            listener,
            sent: Vec::new(),
            among_all: vec![0; page.sounds.len()],
            among_candidates: vec![0; candidates.len()],
            candidates,
        }
    }

    fn add(&mut self, order: &[usize], sent: usize) {
        self.sent.push(sent);
        (1u32..).zip(order).for_each(|(place, sound)| self.among_all[*sound] += place);
        let of_candidates =
            order.iter().filter_map(|sound| self.candidates.iter().position(|at| at == sound));
        (1u32..).zip(of_candidates).for_each(|(place, candidate)| self.among_candidates[candidate] += place);
    }

    /// In the spirit of the screening of ITU-R BS.1534, which looks at how listeners grade the hidden reference.
    fn is_doubtful(&self, page: &Page) -> bool {
        let place = |kind| page.first(kind).map(|sound| self.among_all[sound]);
        matches!((place(Kind::Anchor), place(Kind::Recorded)), (Some(anchor), Some(recorded)) if anchor < recorded)
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
    fn new(rows: &[&Row], page: &Page, candidates: &[usize]) -> Self {
        let all: Vec<usize> = (0..page.sounds.len()).collect();
        let among_all: Vec<_> = rows.iter().map(|row| doubled_ranks(&row.among_all)).collect();
        let ranks: Vec<_> = rows.iter().map(|row| doubled_ranks(&row.among_candidates)).collect();
        Self {
            listeners: rows.len(),
            sounds: ranked(&among_all, page, &all),
            candidates: ranked(&ranks, page, candidates),
            friedman: Friedman::new(&ranks).map(Test::new),
            pairs: pairs(&ranks, page, candidates),
        }
    }
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

fn pairs(ranks: &[Vec<u32>], page: &Page, candidates: &[usize]) -> Vec<Preference> {
    let columns = 0..candidates.len();
    let both = columns.clone().flat_map(|one| (one + 1..candidates.len()).map(move |other| (one, other)));
    let sound = |column: usize| page.sounds[candidates[column]].clone();
    let mut pairs: Vec<Preference> =
        both.map(|(one, other)| preference(ranks, [one, other], [sound(one), sound(other)])).collect();
    let corrected = holm(&pairs.iter().map(|pair| pair.p).collect::<Vec<_>>());
    pairs.iter_mut().zip(corrected).for_each(|(pair, p_holm)| pair.p_holm = p_holm);
    pairs.sort_by(|one, other| one.p.total_cmp(&other.p));
    pairs
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
