//! By how much each partial of a note steps where something is switched.

use nalgebra::{Matrix3, Vector3};

use super::likelihood::Step;
use super::spectra::to_f64;
use super::take::{Sides, Stretch, Take};

/// Partials stand so far above the floor on both sides, in amplitude.
const ABOVE_FLOOR: f64 = 5.0;

/// Below this, in Hz, nothing is a partial.
const LOWEST_HZ: f64 = 25.0;

/// What nobody knows better than, in nepers.
const LEAST_ERROR: f64 = 0.01;

/// A partial's own scatter counts beside the usual one of all partials of the switch, as if that had been seen so often.
const USUAL_COUNTS: f64 = 4.0;

/// Three numbers are fitted to a partial: its level, how it dies away, and its step.
const FITTED: f64 = 3.0;

/// A partial's way across a switch.
struct Track {
    hz: f64,
    step: f64,
    /// Sum of squares of what is left, and how many values it is of.
    left: f64,
    count: f64,
    /// The variance of the step, if that of one value is 1.
    leverage: f64,
    /// The variance of a value that the floor makes.
    noise: f64,
}

/// The steps of all partials at a mark, from without what is switched to with it; none if there is no room for enough stretches.
pub(crate) fn steps(take: &Take<'_>, mark: usize) -> Option<Vec<Step>> {
    let sides = take.sides(mark)?;
    let sign = if mark.is_multiple_of(2) { 1.0 } else { -1.0 };
    let tracks: Vec<Track> =
        peaks(take, &sides).into_iter().filter_map(|bin| track(take, &sides, bin)).collect();
    let usual = usual_variance(&tracks);
    let step = |track: Track| {
        let own = (track.left + USUAL_COUNTS * usual) / (track.count - FITTED + USUAL_COUNTS);
        let variance = track.leverage * own.max(track.noise) + LEAST_ERROR.powi(2);
        Step { hz: track.hz, nepers: sign * track.step, variance }
    };
    Some(tracks.into_iter().map(step).collect())
}

/// The bins in which there is more than beside them, far enough above the floor on both sides.
fn peaks(take: &Take<'_>, sides: &Sides) -> Vec<usize> {
    let (before, after) = (mean_log(&sides.before), mean_log(&sides.after));
    let both: Vec<f64> = before.iter().zip(&after).map(|(before, after)| before + after).collect();
    let is_peak = |bin: &usize| {
        let floor = around(&take.floor, *bin).into_iter().fold(0.0, f64::max);
        let least = (floor * ABOVE_FLOOR.powi(2)).max(f64::MIN_POSITIVE).ln();
        let is_top = (bin - 2..=bin + 2).all(|other| other == *bin || both[other] < both[*bin]);
        is_top && before[*bin] > least && after[*bin] > least
    };
    (take.spectra.bin(LOWEST_HZ).max(3)..both.len() - 2).filter(is_peak).collect()
}

/// The tops of one spectrum that stand far enough above the floor: their bins, and the logarithm of their power.
pub(crate) fn tops(power: &[f64], floor: &[f64]) -> impl Iterator<Item = (usize, f64)> {
    (3..power.len() - 2).filter_map(move |bin| {
        let least = ABOVE_FLOOR.powi(2) * around(floor, bin).into_iter().fold(0.0, f64::max);
        let is_top = (bin - 2..=bin + 2).all(|other| other == bin || power[other] < power[bin]);
        (is_top && power[bin] > least).then(|| (bin, around(power, bin).into_iter().sum::<f64>().ln()))
    })
}

fn mean_log(stretches: &[Stretch]) -> Vec<f64> {
    let mut sum = vec![0.0; stretches[0].power.len()];
    for stretch in stretches {
        sum.iter_mut().zip(&stretch.power).for_each(|(sum, power)| *sum += (power + f64::MIN_POSITIVE).ln());
    }
    sum.into_iter().map(|sum| sum / to_f64(stretches.len())).collect()
}

fn around(power: &[f64], bin: usize) -> [f64; 3] {
    [power[bin - 1], power[bin], power[bin + 1]]
}

/// Fits `ln a = alpha + beta t + delta step` to one partial.
fn track(take: &Take<'_>, sides: &Sides, bin: usize) -> Option<Track> {
    let floor: f64 = around(&take.floor, bin).into_iter().sum();
    let level = |stretch: &Stretch| {
        let power: f64 = around(&stretch.power, bin).into_iter().sum();
        (power, 0.5 * (power - floor).max(0.1 * power).ln())
    };
    let rows = sides
        .before
        .iter()
        .map(|stretch| (stretch, 0.0))
        .chain(sides.after.iter().map(|stretch| (stretch, 1.0)));
    let rows: Vec<(Vector3<f64>, f64, f64)> = rows
        .map(|(stretch, step)| {
            let (power, level) = level(stretch);
            (Vector3::new(1.0, stretch.seconds, step), level, 0.5 * floor / power)
        })
        .collect();
    let normal: Matrix3<f64> = rows.iter().map(|(row, ..)| row * row.transpose()).sum();
    let right: Vector3<f64> = rows.iter().map(|(row, level, _)| row * *level).sum();
    let inverse = normal.try_inverse()?;
    let fit = inverse * right;
    let left = rows.iter().map(|(row, level, _)| (level - row.dot(&fit)).powi(2)).sum();
    let count = to_f64(rows.len());
    let noise = rows.iter().map(|(_, _, noise)| noise).sum::<f64>() / count;
    Some(Track { hz: take.spectra.hz(bin), step: fit[2], left, count, leverage: inverse[(2, 2)], noise })
}

/// The median of the partials' own variances.
fn usual_variance(tracks: &[Track]) -> f64 {
    let mut all: Vec<f64> = tracks.iter().map(|track| track.left / (track.count - FITTED)).collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied().unwrap_or_default()
}
