//! Where notes begin.

use super::spectra::to_f64;

/// Levels are taken over this, in seconds, every [`HOP_SECONDS`].
const LEVEL_SECONDS: f64 = 0.046;
const HOP_SECONDS: f64 = 0.01;

/// A note begins where the level rises by so much within [`RISE_HOPS`], in nepers of power: 5 dB.
const RISE: f64 = 1.15;
const RISE_HOPS: usize = 6;

/// How far around a rise no other is looked for, in hops.
const APART_HOPS: usize = 10;

/// Where the level rises as it does when a note begins, in seconds.
pub(crate) fn onsets(samples: &[f64], rate_hz: f64) -> Vec<f64> {
    let levels = levels(samples, rate_hz);
    let rises: Vec<f64> =
        (0..levels.len()).map(|at| levels[at] - levels[at.saturating_sub(RISE_HOPS)]).collect();
    let is_top = |at: &usize| {
        let near = at.saturating_sub(APART_HOPS)..(at + APART_HOPS + 1).min(rises.len());
        rises[*at] > RISE
            && near.clone().all(|other| rises[other] < rises[*at] || other >= *at)
            && near.into_iter().all(|other| rises[other] <= rises[*at])
    };
    (0..rises.len())
        .filter(is_top)
        .map(|at| (to_f64(at) - 0.5 * to_f64(RISE_HOPS)) * HOP_SECONDS + 0.5 * LEVEL_SECONDS)
        .collect()
}

/// The logarithm of the power of differences between samples, which are bright as plucks are, over a quiet bottom.
fn levels(samples: &[f64], rate_hz: f64) -> Vec<f64> {
    let hop = frames(HOP_SECONDS, rate_hz);
    let wide = frames(LEVEL_SECONDS, rate_hz);
    let mut sums = vec![0.0];
    for pair in samples.windows(2) {
        sums.push(sums[sums.len() - 1] + (pair[1] - pair[0]).powi(2));
    }
    let powers: Vec<f64> =
        (0..sums.len().saturating_sub(wide)).step_by(hop).map(|at| sums[at + wide] - sums[at]).collect();
    let mut sorted = powers.clone();
    sorted.sort_by(f64::total_cmp);
    // A twentieth of a take with its silences is quieter than this.
    let bottom = sorted.get(sorted.len() / 20).copied().unwrap_or_default() * 2.0 + f64::MIN_POSITIVE;
    powers.into_iter().map(|power| (power + bottom).ln()).collect()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds of any rate")]
pub(crate) fn frames(seconds: f64, rate_hz: f64) -> usize {
    (seconds * rate_hz).round().max(0.0) as usize
}
