//! Which pairs of sounds an ABX run asks about: what the organiser says, or those that matter, the same for every listener, so that votes
//! add up.

use dsp_core::response::{Merit, Response};
use serde::Serialize;

/// Setups that differ by no more than this, in dB (root mean square over the octaves, matched), are one for ears.
const ALIKE_DB: f64 = 0.1;
/// What is compared, from the lowest string on, in Hz and in how many steps.
const HIGHEST_HZ: f64 = 16e3;
const STEPS: u32 = 120;
/// Below this nothing is heard: where two pickups cancel, levels have no end.
const FLOOR_DB: f64 = -100.0;

/// Two sounds that listeners are asked to tell apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// Counted as the page's sounds are.
    pub sounds: [usize; 2],
    pub why: Why,
}

/// Why these two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// The organiser named them.
    Named,
    /// Whether the best setup is as good as the take as recorded.
    BestAndRecorded,
    /// Whether it matters which of the two that differ least is plugged in.
    ClosestSetups,
}

impl Why {
    /// Behind the names of the two.
    pub const fn told(self) -> &'static str {
        match self {
            Self::Named => "as asked for",
            Self::BestAndRecorded => "the best setup against the take as recorded",
            Self::ClosestSetups => "the two setups that differ least",
        }
    }
}

/// The pairs that matter, most of all first, without those that are alike; `sounds` are the take as recorded and the setups.
pub fn that_matter(sounds: &[Response], lowest_hz: f64) -> Vec<Asked> {
    let apart = |[a, b]: [usize; 2]| apart_db(&sounds[a], &sounds[b], lowest_hz);
    let differ = |pair: &[usize; 2]| apart(*pair) > ALIKE_DB;
    let merit = |setup: usize| Merit::of(&sounds[setup], lowest_hz);
    let setups = 1..sounds.len();
    let best = setups.clone().min_by(|a, b| merit(*a).order(&merit(*b))).map(|best| [best, 0]);
    let pairs = setups.clone().flat_map(|a| (a + 1..sounds.len()).map(move |b| [a, b]));
    let closest = pairs.filter(differ).min_by(|one, other| apart(*one).total_cmp(&apart(*other)));
    let asked = |sounds, why| Asked { sounds, why };
    let best = best.filter(differ).map(|pair| asked(pair, Why::BestAndRecorded));
    best.into_iter().chain(closest.map(|pair| asked(pair, Why::ClosestSetups))).collect()
}

/// How far two sounds are apart once they are equally loud: what is left of the difference of their levels without its mean, root mean
/// square in dB, each octave alike.
fn apart_db(one: &Response, other: &Response, lowest_hz: f64) -> f64 {
    let octaves = (HIGHEST_HZ / lowest_hz).log2();
    let at = |step: u32| lowest_hz * (octaves * f64::from(step) / f64::from(STEPS)).exp2();
    let level_db = |response: &Response, hz| (-response.loss_db(hz)).max(FLOOR_DB);
    let differences: Vec<f64> =
        (0..=STEPS).map(|step| level_db(one, at(step)) - level_db(other, at(step))).collect();
    let mean = |values: &mut dyn Iterator<Item = f64>| values.sum::<f64>() / f64::from(STEPS + 1);
    let middle = mean(&mut differences.iter().copied());
    mean(&mut differences.iter().map(|db| (db - middle).powi(2))).sqrt()
}

#[cfg(test)]
mod tests {
    use dsp_core::circuit::{Chain, Pickup, Pickups};

    use super::*;

    /// 680 pF into these loads, the take's first.
    fn asked(loads: &[&str]) -> Vec<(Vec<String>, Why)> {
        let pickups = Pickups::One(Pickup::new("680p".parse().unwrap()));
        let response = |load: &&str| Response::new(&pickups, &Chain::from(&load.parse().unwrap()));
        let sounds: Vec<Response> = loads.iter().map(response).collect();
        let named = |asked: Asked| (asked.sounds.map(|at| loads[at].to_owned()).to_vec(), asked.why);
        that_matter(&sounds, 55.0).into_iter().map(named).collect()
    }

    fn is(pairs: &[(Vec<String>, Why)], expected: &[([&str; 2], Why)]) {
        let expected: Vec<_> =
            expected.iter().map(|(pair, why)| (pair.map(str::to_owned).to_vec(), *why)).collect();
        assert_eq!(pairs, expected);
    }

    /// By numpy from losses by textbook RC: 4M7 loses least at A1; without their mean, 470k and 1M are 2.4 dB apart, 1M and 4M7 3.0 dB.
    #[test]
    fn the_best_against_the_take_and_the_closest_two() {
        is(
            &asked(&["22M", "56k", "470k", "1M", "4M7"]),
            &[(["4M7", "22M"], Why::BestAndRecorded), (["470k", "1M"], Why::ClosestSetups)],
        );
        is(&asked(&["22M", "56k"]), &[(["56k", "22M"], Why::BestAndRecorded)]);
    }

    /// A cable in parallel with a high input takes level at all frequencies alike, which the match gives back.
    #[test]
    fn what_is_alike_is_not_asked() {
        is(&asked(&["22M", "22M", "22M || 1 m", "1M", "470k"]), &[(["1M", "470k"], Why::ClosestSetups)]);
        is(&asked(&["22M", "22M"]), &[]);
        is(&asked(&["22M"]), &[]);
    }
}
