use std::cmp::Ordering;
use std::collections::BTreeMap;

use statrs::distribution::{ChiSquared, ContinuousCDF};

/// Steps that counting through all orders may take; about a second.
const MOST_STEPS: usize = 3_000_000;
/// Draws where that is not enough, ...
const DRAWS: usize = 100_000;
/// ... and ranks in all of them together, which bounds the draws where listeners are very many.
const DRAWN_RANKS: usize = 30_000_000;
/// Where draws begin, so that the same answers give the same chance.
const SEED: u64 = 1;

/// Whether listeners order the same things alike (M. Friedman, Journal of the American Statistical Association 32, 1937), with
/// ties corrected for.
#[derive(Debug, Clone, PartialEq)]
pub struct Friedman {
    /// Friedman's statistic.
    pub chi_square: f64,
    pub degrees: u32,
    /// By the chi-square distribution, which the statistic follows where listeners are many.
    pub p_chi_square: f64,
    /// By all orders that listeners without a preference might give.
    pub chance: Chance,
    /// M. Kendall's coefficient of concordance: 0 no agreement, 1 all alike.
    pub kendalls_w: f64,
}

/// The chance of as much agreement, or more, among listeners without a preference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Chance {
    /// All orders were counted.
    Exact(f64),
    /// Orders were drawn, and the observed one counted as one of them.
    Drawn { p: f64, draws: u32 },
}

impl Chance {
    pub const fn p(self) -> f64 {
        match self {
            Self::Exact(p) | Self::Drawn { p, .. } => p,
        }
    }
}

/// Ranks from one on, doubled so that the mean of two is a whole number: equal values share the mean of their ranks.
pub fn doubled_ranks(values: &[u32]) -> Vec<u32> {
    let before = |other: &u32, value: &u32| match other.cmp(value) {
        Ordering::Less => 2,
        Ordering::Equal => 1,
        Ordering::Greater => 0,
    };
    let rank = |value| 1 + values.iter().map(|other| before(other, value)).sum::<u32>();
    values.iter().map(rank).collect()
}

impl Friedman {
    /// Of doubled ranks, one row a listener. `None` unless there are at least two listeners and two things, and some listener
    /// prefers any.
    pub fn new(rows: &[Vec<u32>]) -> Option<Self> {
        let things = rows.first()?.len();
        let degrees = u32::try_from(things).ok()?.checked_sub(1).filter(|degrees| *degrees > 0)?;
        let listeners = u32::try_from(rows.len()).ok().filter(|listeners| *listeners > 1)?;
        // (k - 1) Σ(R_j - n(k+1)/2)² / ΣΣ(r_ij - (k+1)/2)², both sums doubled twice (W. J. Conover, Practical Nonparametric
        // Statistics, from memory); the same as Friedman's where nothing ties.
        let spread = spread(&sums(rows), rows.len());
        let most: u64 = rows.iter().map(|row| self::spread(row, 1)).sum();
        if most == 0 {
            return None;
        }
        let chi_square = f64::from(degrees) * real(spread) / real(most);
        let distribution = ChiSquared::new(f64::from(degrees)).expect("at least one degree of freedom");
        Some(Self {
            chi_square,
            degrees,
            p_chi_square: distribution.sf(chi_square),
            chance: exact(rows, spread).map_or_else(|| drawn(rows, spread), Chance::Exact),
            kendalls_w: chi_square / f64::from(listeners * degrees),
        })
    }
}

fn sums(rows: &[Vec<u32>]) -> Vec<u32> {
    let mut sums = vec![0; rows[0].len()];
    rows.iter().for_each(|row| add(&mut sums, row));
    sums
}

fn add(sums: &mut [u32], row: &[u32]) {
    sums.iter_mut().zip(row).for_each(|(sum, rank)| *sum += rank);
}

/// How far sums over this many listeners are from all alike: the sum of squares.
fn spread(sums: &[u32], listeners: usize) -> u64 {
    let alike = (listeners * (sums.len() + 1)) as u64;
    sums.iter().map(|sum| u64::from(*sum).abs_diff(alike).pow(2)).sum()
}

/// The share of all orders with at least this spread. Names do not matter to the spread, so sums are kept in order, and the first
/// listener's order stays as it is. `None` if it would take too long.
fn exact(rows: &[Vec<u32>], observed: u64) -> Option<f64> {
    let (first, others) = rows.split_first()?;
    let mut first = first.clone();
    first.sort_unstable();
    let (mut seen, mut steps) = (BTreeMap::from([(first, 1.0)]), 0);
    for row in others {
        let orders = orders(row, MOST_STEPS / seen.len())?;
        steps += orders.len() * seen.len();
        if steps > MOST_STEPS {
            return None;
        }
        let share = f64::from(u32::try_from(orders.len()).ok()?).recip();
        let mut next = BTreeMap::new();
        for (sums, chance) in seen {
            for order in &orders {
                let mut sums = sums.clone();
                add(&mut sums, order);
                sums.sort_unstable();
                *next.entry(sums).or_insert(0.0) += chance * share;
            }
        }
        seen = next;
    }
    let as_far = seen.iter().filter(|(sums, _)| spread(sums, rows.len()) >= observed);
    Some(as_far.map(|(_, chance)| chance).sum::<f64>().min(1.0))
}

/// All different orders of a row; `None` if there are more than `most`.
fn orders(row: &[u32], most: usize) -> Option<Vec<Vec<u32>>> {
    let mut order = row.to_vec();
    order.sort_unstable();
    let mut orders = vec![order.clone()];
    // The next in lexicographic order: the last rise is lifted by the least that lifts it, and what follows begins anew.
    while let Some(rise) = order.windows(2).rposition(|pair| pair[0] < pair[1]) {
        let lift = order.iter().rposition(|rank| *rank > order[rise])?;
        order.swap(rise, lift);
        order[rise + 1..].reverse();
        orders.push(order.clone());
        if orders.len() > most {
            return None;
        }
    }
    Some(orders)
}

/// The same by draws; the observed orders count as one of them, so that the chance is never zero (B. Phipson and G. K. Smyth,
/// Statistical Applications in Genetics and Molecular Biology 9, 2010).
fn drawn(rows: &[Vec<u32>], observed: u64) -> Chance {
    let draws =
        u32::try_from((DRAWN_RANKS / (rows.len() * rows[0].len())).clamp(1000, DRAWS)).unwrap_or(u32::MAX);
    let mut random = fastrand::Rng::with_seed(SEED);
    let mut rows = rows.to_vec();
    let mut as_far = 1;
    for _ in 0..draws {
        rows.iter_mut().for_each(|row| random.shuffle(row));
        as_far += u32::from(spread(&sums(&rows), rows.len()) >= observed);
    }
    Chance::Drawn { p: f64::from(as_far) / f64::from(draws + 1), draws }
}

#[expect(clippy::cast_precision_loss, reason = "squares of sums of ranks, far below 2^53")]
fn real(sum: u64) -> f64 {
    sum as f64
}
