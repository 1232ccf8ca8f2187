//! The power of neighbouring stretches in bands.

use super::pair::Pair;
use crate::toggle::likelihood::Step;
use crate::toggle::spectra::to_f64;
use crate::toggle::take::Take;
use crate::{Recording, Refusal};

/// Nothing is looked at so near to a mark, in seconds: marks are off by up to 0.1 s, and a hand stops.
const GUARD_SECONDS: f64 = 0.15;

/// Bands of a quarter of an octave, from here on, in Hz.
const LOWEST_HZ: f64 = 40.0;
const BANDS_AN_OCTAVE: f64 = 4.0;
const BANDS: usize = 30;

/// A band's power stands so far above the floor's on both sides.
const ABOVE_FLOOR: f64 = 4.0;

/// Fewer bands say nothing of a circuit.
const LEAST_BANDS: usize = 6;

/// Fewer switches tell nothing of how far they scatter.
const LEAST_PAIRS: usize = 6;

/// Neighbouring bins of a Hann window tell half as much again as they are many, overlapping windows nearly what they are many: independent
/// values a bin and window.
const INDEPENDENT: f64 = 0.6;

/// What nobody knows better than, in nepers.
const LEAST_ERROR: f64 = 0.01;

/// The steps at all marks that tell something, from without what is switched to with it.
pub(crate) fn pairs(recording: &Recording, marks: &[f64]) -> Result<Vec<Pair>, Refusal> {
    let take = Take::new(recording, marks)?;
    if marks.len() < LEAST_PAIRS {
        return Err(Refusal::TooFewStretches { marks: marks.len(), least: LEAST_PAIRS });
    }
    let stretches = stretches(&take);
    let pairs: Vec<Pair> = stretches
        .windows(2)
        .enumerate()
        .filter_map(|(mark, pair)| step(&take, mark, &pair[0], &pair[1]))
        .collect();
    if pairs.len() < LEAST_PAIRS {
        return Err(Refusal::RubbedTooSoftly { marks: marks.len(), usable: pairs.len(), least: LEAST_PAIRS });
    }
    Ok(pairs)
}

/// The mean power by bins and how many windows it is of, between all marks, and as long as usual before the first and after the last.
fn stretches(take: &Take<'_>) -> Vec<Option<(Vec<f64>, f64)>> {
    let mut apart: Vec<f64> = take.marks.windows(2).map(|pair| pair[1] - pair[0]).collect();
    apart.sort_by(f64::total_cmp);
    let usual = apart[apart.len() / 2];
    let first = take.marks[0] - usual;
    let last = take.marks[take.marks.len() - 1] + usual;
    let ends: Vec<f64> = [first].into_iter().chain(take.marks.iter().copied()).chain([last]).collect();
    ends.windows(2).map(|ends| take.mean(ends[0] + GUARD_SECONDS, ends[1] - GUARD_SECONDS)).collect()
}

type Stretch = Option<(Vec<f64>, f64)>;

fn step(take: &Take<'_>, mark: usize, before: &Stretch, after: &Stretch) -> Option<Pair> {
    let ((before, before_windows), (after, after_windows)) = (before.as_ref()?, after.as_ref()?);
    let sign = if mark.is_multiple_of(2) { 0.5 } else { -0.5 };
    let band = |number: usize| {
        let edge = |at: f64| LOWEST_HZ * (at / BANDS_AN_OCTAVE).exp2();
        let (low, high) = (edge(to_f64(number)), edge(to_f64(number + 1)));
        let bins = take.spectra.bin(low)..take.spectra.bin(high).min(take.floor.len());
        let power = |power: &[f64]| power[bins.clone()].iter().sum::<f64>();
        let floor = power(&take.floor);
        let (before, after) = (power(before) - floor, power(after) - floor);
        let is_heard = !bins.is_empty() && before.min(after) > ABOVE_FLOOR * floor;
        let count = INDEPENDENT * to_f64(bins.len());
        let variance = 0.25 * (1.0 / before_windows + 1.0 / after_windows) / count + LEAST_ERROR.powi(2);
        let hz = edge(to_f64(number) + 0.5);
        is_heard.then(|| Step { hz, nepers: sign * (after / before).ln(), variance })
    };
    let steps: Vec<Step> = (0..BANDS).filter_map(band).collect();
    (steps.len() >= LEAST_BANDS).then(|| Pair::new(steps))
}
