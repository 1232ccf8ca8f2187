//! Which sounds do listeners like better than which?

use serde::Serialize;

use super::answer::Vote;
use super::gather::Gathered;
use super::page::{Kind, Page, Sound};
use super::statistics::{Chance, Friedman, UNLIKELY, doubled_ranks, holm, p_two_sided};
use crate::sequence;

/// What came of all rankings.
#[derive(Debug, Serialize)]
pub struct Rankings {
    /// As they came in.
    pub sent: Vec<Sent>,
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
    /// The best first.
    pub order: Vec<Labelled>,
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
    /// The best first.
    pub sounds: Vec<Ranked>,
    /// `None` for a single listener, a single sound, or no preference anywhere.
    pub friedman: Option<Test>,
    /// All pairs, the least likely by luck first.
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
    let mut sent = Vec::new();
    let mut rows: Vec<Row> = Vec::new();
    for (listener, answer) in &gathered.answers {
        let Vote::Ranking(order) = &answer.vote else { continue };
        sent.push(Sent {
            listener: gathered.listeners[*listener].clone(),
            order: labelled(order, answer.seed, page),
        });
        let at = rows.iter().position(|row| row.listener == *listener).unwrap_or_else(|| {
            rows.push(Row { listener: *listener, places: vec![0; page.sounds.len()] });
            rows.len() - 1
        });
        (1u32..).zip(order).for_each(|(place, sound)| rows[at].places[*sound] += place);
    }
    if rows.is_empty() {
        return None;
    }
    let (doubtful, others): (Vec<&Row>, Vec<&Row>) = rows.iter().partition(|row| row.is_doubtful(page));
    Some(Rankings {
        sent,
        all: Orders::new(&rows.iter().collect::<Vec<_>>(), page),
        without_doubtful: (!doubtful.is_empty() && !others.is_empty()).then(|| Orders::new(&others, page)),
        doubtful: doubtful.iter().map(|row| gathered.listeners[row.listener].clone()).collect(),
    })
}

/// One listener's places of all sounds, added up over that listener's rankings.
struct Row {
    listener: usize,
    places: Vec<u32>,
}

impl Row {
    /// In the spirit of the screening of ITU-R BS.1534, which looks at how listeners grade the hidden reference.
    fn is_doubtful(&self, page: &Page) -> bool {
        let place = |kind| page.first(kind).map(|sound| self.places[sound]);
        matches!((place(Kind::Anchor), place(Kind::Recorded)), (Some(anchor), Some(recorded)) if anchor < recorded)
    }
}

fn labelled(order: &[usize], seed: u32, page: &Page) -> Vec<Labelled> {
    let labels = sequence::labels(seed, page.held.len());
    let label = |sound| labels.iter().position(|at| page.held[*at] == sound).map_or(0, |at| at + 1);
    order.iter().map(|at| Labelled { sound: page.sounds[*at].clone(), label: label(*at) }).collect()
}

impl Orders {
    fn new(rows: &[&Row], page: &Page) -> Self {
        let ranks: Vec<Vec<u32>> = rows.iter().map(|row| doubled_ranks(&row.places)).collect();
        let mean = |sound: usize| {
            let sum: u32 = ranks.iter().map(|row| row[sound]).sum();
            f64::from(sum) / 2.0 / real(rows.len())
        };
        let ranked = |(at, sound): (usize, &Sound)| Ranked { sound: sound.clone(), mean_rank: mean(at) };
        let mut sounds: Vec<Ranked> = page.sounds.iter().enumerate().map(ranked).collect();
        sounds.sort_by(|one, other| one.mean_rank.total_cmp(&other.mean_rank));
        Self {
            listeners: rows.len(),
            sounds,
            friedman: Friedman::new(&ranks).map(Test::new),
            pairs: pairs(&ranks, page),
        }
    }
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

fn pairs(ranks: &[Vec<u32>], page: &Page) -> Vec<Preference> {
    let sounds = page.sounds.len();
    let both = (0..sounds).flat_map(|one| (one + 1..sounds).map(move |other| (one, other)));
    let mut pairs: Vec<Preference> = both.map(|(one, other)| preference(ranks, page, one, other)).collect();
    let corrected = holm(&pairs.iter().map(|pair| pair.p).collect::<Vec<_>>());
    pairs.iter_mut().zip(corrected).for_each(|(pair, p_holm)| pair.p_holm = p_holm);
    pairs.sort_by(|one, other| one.p.total_cmp(&other.p));
    pairs
}

fn preference(ranks: &[Vec<u32>], page: &Page, one: usize, other: usize) -> Preference {
    let before = |one: usize, other: usize| ranks.iter().filter(|row| row[one] < row[other]).count() as u64;
    let (for_one, for_other) = (before(one, other), before(other, one));
    let p = p_two_sided(for_one, for_other);
    let (better, other, for_better, for_other) =
        if for_other > for_one { (other, one, for_other, for_one) } else { (one, other, for_one, for_other) };
    let sound = |at: usize| page.sounds[at].clone();
    Preference { better: sound(better), other: sound(other), for_better, for_other, p, p_holm: p }
}

#[expect(clippy::cast_precision_loss, reason = "a count of listeners")]
fn real(count: usize) -> f64 {
    count as f64
}
