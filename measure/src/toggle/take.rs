//! A take that can be looked at: checked, with its floor, its notes' beginnings, and the stretches around each switch.

use super::onsets::{frames, onsets};
use super::spectra::{Spectra, to_f64};
use crate::{Recording, Refusal};

/// Nothing is looked at so near to a mark, in seconds: marks are off by up to 0.1 s, and a window hardly sees its ends.
const GUARD_SECONDS: f64 = 0.08;

/// From one stretch to the next, in seconds, and how many there are on each side.
const HOP_SECONDS: f64 = 0.1;
const MOST_STRETCHES: usize = 4;
const LEAST_STRETCHES: usize = 2;

/// Silence at each end that the floor is taken from, in seconds.
const SILENCE_SECONDS: f64 = 0.9;

/// What begins so near to a mark, in seconds, is the switch.
const SWITCH_SECONDS: f64 = 0.2;

/// Of a note its beginning is left out, in seconds.
const PLUCK_SECONDS: f64 = 0.06;

/// An end may have this part of the power of all, if it is silent.
const QUIET_PART: f64 = 0.25;

/// Below this, in Hz, what is in the silence is not asked for.
const LOWEST_HZ: f64 = 30.0;

/// Tops below this have too few steps of a converter in a per cent, and no converter clips there.
const LEAST_CLIPPED: f64 = 0.02;

/// So many times as many samples on top as just below are cut off, and so many that the latter count as, where there are fewer.
const MOST_ROUND: usize = 4;
const LEAST_FLAT: usize = 3;

/// A spectrum and when it was, in seconds from its mark.
pub(crate) struct Stretch {
    pub seconds: f64,
    pub power: Vec<f64>,
}

/// What is on both sides of a switch.
pub(crate) struct Sides {
    pub before: Vec<Stretch>,
    pub after: Vec<Stretch>,
}

/// A take and what was switched when.
pub(crate) struct Take<'a> {
    pub spectra: Spectra,
    /// The power of silence by bins.
    pub floor: Vec<f64>,
    pub marks: &'a [f64],
    samples: &'a [f64],
    rate_hz: f64,
    onsets: Vec<f64>,
}

impl<'a> Take<'a> {
    /// # Errors
    /// If the take cannot tell, whatever is in it.
    pub fn new(recording: &'a Recording, marks: &'a [f64]) -> Result<Self, Refusal> {
        let Recording { rate_hz, samples } = recording;
        let seconds = to_f64(samples.len()) / rate_hz;
        if let Some(problem) = recording.problem("take") {
            return Err(problem);
        }
        if is_clipped(samples) {
            return Err(Refusal::Clipped { recording: "take" });
        }
        check_marks(marks, seconds)?;
        let spectra = Spectra::new(*rate_hz);
        let floor = floor(&spectra, samples, *rate_hz).ok_or(Refusal::TakeTooShort { seconds })??;
        let is_switch = |onset: &f64| marks.iter().any(|mark| (mark - onset).abs() < SWITCH_SECONDS);
        let mut onsets = onsets(samples, *rate_hz);
        onsets.retain(|onset| !is_switch(onset));
        Ok(Self { spectra, floor, marks, samples, rate_hz: *rate_hz, onsets })
    }

    /// The stretches around a mark, if there are enough on both sides that cross neither another mark nor the beginning of a note.
    pub fn sides(&self, mark: usize) -> Option<Sides> {
        let at = self.marks[mark];
        let (from, to) = self.room(mark);
        let length = self.spectra.seconds();
        let before = (0..MOST_STRETCHES)
            .map(|number| at - GUARD_SECONDS - length - HOP_SECONDS * to_f64(number))
            .take_while(|start| *start >= from);
        let after = (0..MOST_STRETCHES)
            .map(|number| at + GUARD_SECONDS + HOP_SECONDS * to_f64(number))
            .take_while(|start| start + length <= to);
        let stretch = |start: f64| {
            let first = frames(start, self.rate_hz);
            let samples = self.samples.get(first..first + self.spectra.length())?;
            Some(Stretch { seconds: start + 0.5 * length - at, power: self.spectra.power(samples) })
        };
        let before: Vec<Stretch> = before.filter_map(stretch).collect();
        let after: Vec<Stretch> = after.filter_map(stretch).collect();
        let is_enough = before.len().min(after.len()) >= LEAST_STRETCHES;
        is_enough.then_some(Sides { before, after })
    }

    /// The mean power by bins from one time to another, in seconds, and how many windows it is of; `None` if there are fewer than two.
    pub fn mean(&self, from: f64, to: f64) -> Option<(Vec<f64>, f64)> {
        let part = self.samples.get(frames(from, self.rate_hz)..frames(to, self.rate_hz))?;
        let windows = (2 * part.len() / self.spectra.length()).checked_sub(1)?;
        (windows >= 2).then_some((self.spectra.mean(part)?, to_f64(windows)))
    }

    /// Power by bins of windows that begin every so many seconds.
    pub fn every(&self, seconds: f64) -> impl Iterator<Item = Vec<f64>> {
        let last = self.samples.len() - self.spectra.length();
        (0..=last)
            .step_by(frames(seconds, self.rate_hz).max(1))
            .map(|at| self.spectra.power(&self.samples[at..at + self.spectra.length()]))
    }

    /// From when to when nothing but this one mark happens.
    fn room(&self, mark: usize) -> (f64, f64) {
        let at = self.marks[mark];
        let end = to_f64(self.samples.len()) / self.rate_hz;
        let before = self.marks[..mark].last().map_or(0.0, |mark| mark + GUARD_SECONDS);
        let after = self.marks.get(mark + 1).map_or(end, |mark| mark - GUARD_SECONDS);
        let split = self.onsets.partition_point(|onset| *onset < at);
        let begun = self.onsets[..split].last().map_or(0.0, |onset| onset + PLUCK_SECONDS);
        let next = self.onsets.get(split).map_or(end, |onset| onset - PLUCK_SECONDS);
        (before.max(begun), after.min(next))
    }
}

/// Whether tops are cut off flat. Whatever is round on top is at most 1.4 times as long in its uppermost half per cent as in the per cent below
/// (a parabola's √0.005 to √0.015 - √0.005); what is cut off stays on top.
fn is_clipped(samples: &[f64]) -> bool {
    [1.0, -1.0].into_iter().any(|sign| {
        let top = samples.iter().fold(0.0, |top: f64, sample| top.max(sign * sample));
        let within = |low: f64, high: f64| {
            samples.iter().filter(|sample| (low * top..high * top).contains(&(sign * *sample))).count()
        };
        let (highest, next) = (within(0.995, 1.001), within(0.985, 0.995));
        top > LEAST_CLIPPED && highest > MOST_ROUND * next.max(LEAST_FLAT)
    })
}

fn check_marks(marks: &[f64], seconds: f64) -> Result<(), Refusal> {
    if let Some(mark_seconds) = marks.iter().copied().find(|mark| !(0.0..=seconds).contains(mark)) {
        return Err(Refusal::MarkOutside { mark_seconds, seconds });
    }
    if let Some(pair) = marks.windows(2).find(|pair| pair[1] <= pair[0]) {
        return Err(Refusal::MarksUnsorted { first: pair[0], second: pair[1] });
    }
    Ok(())
}

/// The power of silence at the louder end, by bins; `None` if the take is too short for both ends.
fn floor(spectra: &Spectra, samples: &[f64], rate_hz: f64) -> Option<Result<Vec<f64>, Refusal>> {
    let silence = frames(SILENCE_SECONDS, rate_hz);
    let (first, rest) = samples.split_at_checked(silence)?;
    let (middle, last) = rest.split_at_checked(rest.len().checked_sub(silence)?)?;
    let [first, middle, last] = [first, middle, last].map(|part| spectra.mean(part));
    let (first, middle, last) = (first?, middle?, last?);
    let sum = |power: &[f64]| power[spectra.bin(LOWEST_HZ)..].iter().sum::<f64>();
    let is_loud = |end: &[f64]| sum(end) > QUIET_PART * sum(&middle);
    if is_loud(&first) || is_loud(&last) {
        return Some(Err(Refusal::NoSilence { is_end: !is_loud(&first) }));
    }
    Some(Ok(first.into_iter().zip(last).map(|(first, last)| first.max(last)).collect()))
}
