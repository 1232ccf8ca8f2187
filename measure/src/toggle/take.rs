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

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::toggle::pickup;
    use crate::toggle::{Toggle, suggest_marks};

    const RATE_HZ: f64 = 44_100.0;

    /// Silence with a little noise, a tone of ten partials from 1 s to `seconds` less 1, and silence again.
    fn tone(seconds: f64, level: f64) -> Recording {
        let mut random = fastrand::Rng::with_seed(7);
        let sample = |at: usize| {
            let time = to_f64(at) / RATE_HZ;
            let noise = 1e-4 * (random.f64() - 0.5);
            let is_on = time > 1.0 && time < seconds - 1.0;
            let partial =
                |n: u32| (2.0 * PI * 110.0 * f64::from(n) * time + f64::from(n * n)).sin() / f64::from(n);
            if is_on { noise + level * (1..=10).map(partial).sum::<f64>() } else { noise }
        };
        Recording { rate_hz: RATE_HZ, samples: (0..frames(seconds, RATE_HZ)).map(sample).collect() }
    }

    fn refused(recording: &Recording, marks: &[f64]) -> Option<Refusal> {
        Take::new(recording, marks).err()
    }

    #[test]
    fn marks_lie_in_the_take_and_in_order() {
        let take = tone(6.0, 0.1);
        assert_eq!(refused(&take, &[2.0, 3.0]), None);
        let outside = Refusal::MarkOutside { mark_seconds: 7.0, seconds: 6.0 };
        assert_eq!(refused(&take, &[2.0, 7.0]), Some(outside));
        assert!(matches!(refused(&take, &[f64::NAN]), Some(Refusal::MarkOutside { .. })));
        let unsorted = Refusal::MarksUnsorted { first: 3.0, second: 2.0 };
        assert_eq!(refused(&take, &[3.0, 2.0]), Some(unsorted.clone()));
        assert!(matches!(refused(&take, &[3.0, 3.0]), Some(Refusal::MarksUnsorted { .. })));
    }

    #[test]
    fn ends_are_silent() {
        let mut take = tone(6.0, 0.1);
        let short = Recording { samples: take.samples[..60_000].to_vec(), ..take };
        assert!(matches!(refused(&short, &[]), Some(Refusal::TakeTooShort { .. })));
        take.samples.drain(..frames(0.95, RATE_HZ));
        assert_eq!(refused(&take, &[]), Some(Refusal::NoSilence { is_end: false }));
        take.samples.reverse();
        assert_eq!(refused(&take, &[]), Some(Refusal::NoSilence { is_end: true }));
    }

    #[test]
    fn tops_that_are_cut_off_are_refused_under_noise() {
        let mut take = tone(6.0, 0.2);
        let mut random = fastrand::Rng::with_seed(8);
        for sample in &mut take.samples {
            *sample = sample.clamp(-0.25, 0.25) + 2e-4 * (random.f64() - 0.5);
        }
        assert_eq!(refused(&take, &[]), Some(Refusal::Clipped { recording: "take" }));
    }

    #[test]
    fn stretches_cross_neither_marks_nor_beginnings() {
        let recording = tone(6.0, 0.1);
        let marks = [2.0, 3.0, 3.3];
        let take = Take::new(&recording, &marks).expect("good");
        let sides = take.sides(0).expect("room");
        assert_eq!((sides.before.len(), sides.after.len()), (4, 4));
        let half = 0.5 * take.spectra.seconds();
        assert!(sides.before.iter().all(|stretch| stretch.seconds + half < -0.079));
        assert!(sides.after.iter().all(|stretch| stretch.seconds - half > 0.079));
        // 0.3 s between two marks are too few for two stretches.
        assert!(take.sides(1).is_none());
        let early = [1.25, 2.0];
        assert!(Take::new(&recording, &early).expect("good").sides(0).is_none());
    }

    #[test]
    fn without_notes_or_room_nothing_is_told() {
        let loads = Toggle { load_a: "1M".parse().expect("a load"), added: "56k".parse().expect("a load") };
        let told = |take: &Recording, marks: &[f64]| pickup(take, &loads, marks, None).refused;
        let take = tone(10.0, 0.1);
        assert!(matches!(told(&take, &[2.0, 3.0]), Some(Refusal::TooFewToggles { marks: 2, .. })));
        let crowded: Vec<f64> = (0..20u32).map(|at| 2.0 + 0.25 * f64::from(at)).collect();
        assert!(matches!(told(&take, &crowded), Some(Refusal::TooCrowded { usable: 0, .. })));
        let marks = [2.0, 3.0, 4.0, 5.0, 6.0, 7.0];
        assert_eq!(told(&take, &marks), Some(Refusal::NothingSwitched));
        // Noise that is louder between the ends, and no note.
        let mut faint = tone(10.0, 0.0);
        for sample in &mut faint.samples[frames(1.0, RATE_HZ)..frames(9.0, RATE_HZ)] {
            *sample *= 3.0;
        }
        assert!(matches!(told(&faint, &marks), Some(Refusal::NoNotes { usable: 0, .. })));
    }

    #[test]
    fn switches_are_proposed_where_partials_step() {
        let mut take = tone(8.0, 0.1);
        for sample in &mut take.samples[frames(3.0, RATE_HZ)..frames(4.5, RATE_HZ)] {
            *sample *= 0.5;
        }
        let marks = suggest_marks(&take);
        for switch in [3.0, 4.5] {
            assert!(marks.iter().any(|mark| (mark - switch).abs() < 0.05), "{switch} is not in {marks:?}");
        }
        assert!(suggest_marks(&Recording { rate_hz: RATE_HZ, samples: vec![0.0; 1000] }).is_empty());
    }
}
