//! Could listeners tell two sounds from each other?

use serde::Serialize;

use super::gather::{Counted, Gathered};
use super::statistics::{UNLIKELY, holm, interval, p_at_least};
use crate::format::sequence::x_is_b;
use crate::format::{Page, Sound, Vote};

/// What came of one pair of sounds.
#[derive(Debug, Serialize)]
pub struct Pair {
    /// In the page's order.
    pub sounds: [Sound; 2],
    pub together: Tally,
    pub listeners: Vec<Listener>,
}

/// What one listener made of it.
#[derive(Debug, Serialize)]
pub struct Listener {
    pub listener: String,
    /// Whose trials were added.
    pub runs: usize,
    #[serde(flatten)]
    pub tally: Tally,
}

/// Right answers among trials.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Tally {
    pub right: u64,
    pub trials: u64,
    /// The chance of as many by guessing.
    pub p: f64,
    /// The same, corrected for all pairs, or for all listeners of all pairs.
    pub p_holm: f64,
    /// The 95 % interval of the proportion of right answers.
    pub low: f64,
    pub high: f64,
}

impl Tally {
    fn new(right: u64, trials: u64) -> Self {
        let p = p_at_least(right, trials);
        let (low, high) = interval(right, trials);
        Self { right, trials, p, p_holm: p, low, high }
    }

    /// Whether luck is an unlikely reason.
    pub fn comes_out(&self) -> bool {
        self.p_holm <= UNLIKELY
    }
}

/// All pairs that were tried, in the page's order.
pub fn pairs(gathered: &Gathered, page: &Page) -> Vec<Pair> {
    let mut runs: Vec<Run> = gathered
        .answers
        .iter()
        .filter_map(|Counted { listener, answer, .. }| {
            let Vote::Abx { sounds, said_b } = &answer.vote else { return None };
            let sounds = [sounds[0].min(sounds[1]), sounds[0].max(sounds[1])];
            let right =
                x_is_b(answer.seed).zip(said_b).filter(|(is_b, said_b)| is_b == *said_b).count() as u64;
            Some(Run { sounds, listener: *listener, right, trials: said_b.len() as u64 })
        })
        .collect();
    runs.sort_by_key(|run| (run.sounds, run.listener));
    let pair = |runs: &[Run]| Pair {
        sounds: runs[0].sounds.map(|sound| page.sounds[sound].clone()),
        together: tally(runs),
        listeners: runs
            .chunk_by(|one, other| one.listener == other.listener)
            .map(|runs| Listener {
                listener: gathered.listeners[runs[0].listener].name.clone(),
                runs: runs.len(),
                tally: tally(runs),
            })
            .collect(),
    };
    let mut pairs: Vec<Pair> = runs.chunk_by(|one, other| one.sounds == other.sounds).map(pair).collect();
    correct(pairs.iter_mut().map(|pair| &mut pair.together).collect());
    correct(
        pairs.iter_mut().flat_map(|pair| &mut pair.listeners).map(|listener| &mut listener.tally).collect(),
    );
    pairs
}

struct Run {
    sounds: [usize; 2],
    listener: usize,
    right: u64,
    trials: u64,
}

fn tally(runs: &[Run]) -> Tally {
    Tally::new(runs.iter().map(|run| run.right).sum(), runs.iter().map(|run| run.trials).sum())
}

fn correct(tallies: Vec<&mut Tally>) {
    let corrected = holm(&tallies.iter().map(|tally| tally.p).collect::<Vec<_>>());
    tallies.into_iter().zip(corrected).for_each(|(tally, p_holm)| tally.p_holm = p_holm);
}
