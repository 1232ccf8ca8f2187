use super::extremes::{Effort, lowest};
use super::{Merit, Response};
use crate::circuit::{Chain, Pickups, Positions, Spread};

/// For two setups that are held against each other, by a loss at a frequency.
const PAIR: Effort = Effort { climbs: 2, budget: 400 };

/// The same by the top, which is itself searched for.
const PAIR_OF_TOPS: Effort = Effort { climbs: 1, budget: 60 };

/// A change of places by less than this, in steps of a merit, is rounding's: 0.05 dB.
const LEAST_STEPS: f64 = 0.1;

/// A setup to be put in order.
#[derive(Debug, Clone, Copy)]
pub struct Candidate<'a> {
    /// Its chain.
    pub chain: &'a Chain,
    /// Where the instrument's controls stand.
    pub positions: Positions,
    /// Whether front of house is fed from it, which decides between two that are as good as each other.
    pub feeds: bool,
}

/// Setups in order of what their pickups lose into them.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// Candidates, counted from zero, the best first.
    pub order: Vec<usize>,
    /// Of each candidate, in the order in which they were given; of the middle of tolerances.
    pub merits: Vec<Merit>,
    /// Whether any value carries a tolerance.
    pub has_spread: bool,
    /// Of neighbours in the order, and of the first with any other: those that change places where values lie elsewhere within their
    /// tolerances, the one ahead first.
    pub swaps: Vec<(usize, usize)>,
}

impl Ranking {
    /// Puts candidates in order; `lowest_hz` is the lowest string. Of two that differ by less than is worth a change
    /// ([`Merit::steps_over`]) the one that feeds front of house is ahead.
    ///
    /// Whether the order holds within tolerances is judged pair by pair, both with the same pickups: what makes one setup worse than in the
    /// middle makes the other one worse too.
    pub fn new(pickups: &Pickups, candidates: &[Candidate], lowest_hz: f64) -> Self {
        let merit = |candidate: &Candidate| {
            let pickups = pickups.with_positions(candidate.positions);
            Merit::of(&Response::new(&pickups, candidate.chain), lowest_hz)
        };
        let merits: Vec<Merit> = candidates.iter().map(merit).collect();
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        order.sort_by(|a, b| merits[*a].order(&merits[*b]));
        let order = feeding_first(order, candidates, &merits);
        let has_spread = Spread::of(pickups, candidates.iter().map(|candidate| candidate.chain)).is_some();
        let swaps =
            if has_spread { swaps(pickups, candidates, &order, &merits, lowest_hz) } else { Vec::new() };
        Self { order, merits, has_spread, swaps }
    }

    /// Whether the first stays first wherever the values lie.
    pub fn first_holds(&self) -> bool {
        self.swaps.iter().all(|(ahead, _)| Some(ahead) != self.order.first())
    }
}

fn feeding_first(mut left: Vec<usize>, candidates: &[Candidate], merits: &[Merit]) -> Vec<usize> {
    let mut order = Vec::with_capacity(left.len());
    while let Some(best) = left.first().copied() {
        let ties = |one: &usize| candidates[*one].feeds && merits[best].steps_over(&merits[*one]) <= 1.0;
        order.push(left.remove(left.iter().position(ties).unwrap_or(0)));
    }
    order
}

fn swaps(
    pickups: &Pickups,
    candidates: &[Candidate],
    order: &[usize],
    merits: &[Merit],
    lowest_hz: f64,
) -> Vec<(usize, usize)> {
    let neighbours = order.iter().zip(order.iter().skip(1));
    let of_first =
        order.first().into_iter().flat_map(|first| order.iter().skip(2).map(move |one| (first, one)));
    neighbours
        .chain(of_first)
        .map(|(ahead, behind)| (*ahead, *behind))
        // Which of two comes first where they are as good as each other is no question of values.
        .filter(|(ahead, behind)| merits[*ahead].order(&merits[*behind]).is_le())
        .filter(|(ahead, behind)| {
            least_steps(pickups, &candidates[*ahead], &candidates[*behind], lowest_hz) < -LEAST_STEPS
        })
        .collect()
}

/// By how many steps one is better than the other at least, wherever the values lie.
fn least_steps(pickups: &Pickups, one: &Candidate, other: &Candidate, lowest_hz: f64) -> f64 {
    let Some(spread) = Spread::of(pickups, [one.chain, other.chain]) else { return 0.0 };
    let magnetic = (0..pickups.count()).all(|index| pickups.pickup(index).is_magnetic());
    let steps = |places: &[f64]| {
        let (pickups, chains) = spread.at(places);
        let merit = |candidate: &Candidate, chain: &Chain| {
            Merit::of(&Response::new(&pickups.with_positions(candidate.positions), chain), lowest_hz)
        };
        merit(one, &chains[0]).steps_over(&merit(other, &chains[1]))
    };
    lowest(spread.count(), if magnetic { PAIR_OF_TOPS } else { PAIR }, steps).1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Pickup;
    use crate::units::Load;

    fn ranked(pickup: &str, loads: &[&str], feeding: Option<usize>) -> Ranking {
        let pickups: Pickups = Pickup::new(pickup.parse().unwrap()).into();
        let chains: Vec<Chain> =
            loads.iter().map(|load| Chain::from(&load.parse::<Load>().unwrap())).collect();
        let candidate = |(index, chain)| Candidate {
            chain,
            positions: Positions::default(),
            feeds: feeding == Some(index),
        };
        let candidates: Vec<Candidate> = chains.iter().enumerate().map(candidate).collect();
        Ranking::new(&pickups, &candidates, 41.203)
    }

    /// Their ranges overlap (1 nF ±30 % into 1 MΩ loses 9.9 to 15.0 dB at E1, into 680 kΩ 13.0 to 18.3; textbook RC), but with the
    /// same pickup the larger resistance always loses less.
    #[test]
    fn the_same_pickup_is_plugged_into_all() {
        let ranking = ranked("1n ±30 %", &["680k", "1M"], None);
        assert_eq!((ranking.order, ranking.swaps, ranking.has_spread), (vec![1, 0], vec![], true));
    }

    /// A cable costs level by the ratio of capacitances, `20 log10(1 + C/C_p)`, a resistance bass: which costs more depends on the
    /// pickup. At 41.2 Hz 10 MΩ, 30 m and 1 MΩ lose 19.7, 37.6 and 39.7 dB of 40 pF, 3.3, 19.4 and 20.6 dB of 360 pF (textbook).
    #[test]
    fn what_may_change_places_is_told() {
        let ranking = ranked("200p ±80 %", &["10M", "30 m", "1M"], None);
        assert_eq!(ranking.order, [0, 1, 2]);
        assert!(ranking.swaps.is_empty() && ranking.first_holds(), "{ranking:?}");
        let ranking = ranked("200p ±80 %", &["4M7", "6 m"], None);
        let loss = |farads: f64| {
            let corner_hz = (std::f64::consts::TAU * 4.7e6 * farads).recip();
            let bass_db = 10.0 * (1.0 + (corner_hz / 41.203).powi(2)).log10();
            bass_db - 20.0 * (1.0 + 600e-12 / farads).log10()
        };
        assert!(loss(40e-12) > 0.5 && loss(360e-12) < -0.5, "{} {}", loss(40e-12), loss(360e-12));
        assert_eq!(ranking.swaps, [(ranking.order[0], ranking.order[1])]);
        assert!(!ranking.first_holds());
    }

    /// 10 and 8.2 MΩ on 680 pF lose 1.21 and 1.70 dB at E1 (textbook RC), 5.6 MΩ 3.07 dB.
    #[test]
    fn of_two_that_are_as_good_the_one_that_feeds_is_ahead() {
        assert_eq!(ranked("680p", &["10M", "8M2", "5M6"], None).order, [0, 1, 2]);
        assert_eq!(ranked("680p", &["10M", "8M2", "5M6"], Some(1)).order, [1, 0, 2]);
        assert_eq!(ranked("680p", &["10M", "8M2", "5M6"], Some(2)).order, [0, 1, 2], "much worse");
        let within = ranked("680p ±10 %", &["10M", "8M2"], Some(1));
        assert_eq!((within.order, within.swaps), (vec![1, 0], vec![]), "no question of values");
    }
}
