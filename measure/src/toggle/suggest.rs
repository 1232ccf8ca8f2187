//! Where something seems to have been switched.

use super::spectra::to_f64;
use super::steps::tops;
use super::take::Take;
use crate::Recording;

/// From one place that is looked at to the next, in seconds.
const HOP_SECONDS: f64 = 0.02;

/// Between what is looked at before and after a place, in hops.
const GAP_HOPS: usize = 4;

/// A switch steps by so much, in nepers: 2 dB.
const LEAST_STEP: f64 = 0.23;

/// The note stays: this part of its partials is on both sides, and so many at least.
const LEAST_COMMON_PART: f64 = 0.6;
const LEAST_COMMON: usize = 4;

/// Switches are so far apart, in hops.
const APART_HOPS: usize = 15;

/// A partial: its bin, and the logarithm of its power.
type Partial = (usize, f64);

/// Where something seems to have been switched, in seconds: a proposal that misses some, for a person to correct. A switch is where the low
/// partials of a note that goes on step all alike. A take that cannot be measured has none.
pub fn suggest_marks(take: &Recording) -> Vec<f64> {
    let Ok(take) = Take::new(take, &[]) else { return Vec::new() };
    let spectra: Vec<Vec<Partial>> =
        take.every(HOP_SECONDS).map(|power| tops(&power, &take.floor).collect()).collect();
    let window_hops = take.spectra.seconds() / HOP_SECONDS;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "nine")]
    let later = window_hops.round() as usize + GAP_HOPS;
    let steps: Vec<f64> = spectra
        .iter()
        .zip(spectra.iter().skip(later))
        .map(|(before, after)| step(before, after).abs())
        .collect();
    let middle = 0.5 * (to_f64(later) + window_hops);
    let is_top = |at: &usize| {
        let near = at.saturating_sub(APART_HOPS)..(at + APART_HOPS + 1).min(steps.len());
        steps[*at] > LEAST_STEP
            && near
                .into_iter()
                .all(|other| steps[other] < steps[*at] || other >= *at && steps[other] == steps[*at])
    };
    (0..steps.len()).filter(is_top).map(|at| HOP_SECONDS * (centre(&steps, at) + middle)).collect()
}

/// By how much the lower half of the partials that are on both sides step; not at all, if it is not one note.
fn step(before: &[Partial], after: &[Partial]) -> f64 {
    let partner = |bin: usize| after.iter().find(|(other, _)| other.abs_diff(bin) <= 1);
    let mut common: Vec<f64> =
        before.iter().filter_map(|(bin, level)| Some(0.5 * (partner(*bin)?.1 - level))).collect();
    let all = before.len().min(after.len());
    if common.len() < LEAST_COMMON || to_f64(common.len()) < LEAST_COMMON_PART * to_f64(all) {
        return 0.0;
    }
    common.truncate(common.len().div_ceil(2));
    common.sort_by(f64::total_cmp);
    common[common.len() / 2]
}

/// The middle of a top, which is as wide as the gap.
fn centre(steps: &[f64], top: usize) -> f64 {
    let near = top.saturating_sub(GAP_HOPS)..(top + GAP_HOPS + 1).min(steps.len());
    let high: Vec<usize> = near.filter(|at| steps[*at] > 0.9 * steps[top]).collect();
    high.iter().copied().map(to_f64).sum::<f64>() / to_f64(high.len())
}
