//! No ride is louder than its ends: whatever is asked for, in whatever order and at whatever moment, what is heard is no louder than the
//! sounds that it leads between, each of them run beside it from the start.
//!
//! Searched, not sampled. Peaks are compared with those of 10 ms around; loudness over 50 ms is K-weighted by the crate `ebur128`
//! (ITU-R BS.1770), and compared with that of the louder sound within 50 ms. A window that began in one sound and ends in another has what
//! each moment of it was allowed: a click in the first and a tone in the second are more together than either by itself.

use std::collections::VecDeque;

use crate::common::{cases, change, db, higher_order, music_like_noise, plucked, preset_text, run, tone};
use dsp_core::preset::Preset;
use dsp_core::processor::Processor;
use dsp_core::response::{Ceiling, Change, Shape, Transfer};
use ebur128::{EbuR128, Mode};
use proptest::prelude::*;

/// The bar in dB, and where an undo, with its slow pole, is one of the ends.
const BAR_DB: f64 = 1.0;
const BAR_UNDONE_DB: f64 = 2.0;

/// 5 ms of a window of 50 ms.
const WINDOW_HOPS: usize = 10;

/// A sound counts for so long after it has been left: a change that waits for another one, both catching up with the slowest pole.
const LEFT_MS: f64 = 2.0 * (70.0 + Processor::CHANGE_MS);

const PRESETS: [&str; 8] = [
    "courtyard.toml",
    "passive.toml",
    "blocking.toml",
    "blend.toml",
    "magnetic-single.toml",
    "magnetic-double.toml",
    "venues.toml",
    "loads.toml",
];

#[derive(Debug, Clone, Copy, PartialEq)]
struct End {
    shape: Shape,
    undone: bool,
}

/// What every track of every setup of every shipped preset does, the same undone, and what is recorded.
fn ends() -> Vec<End> {
    let mut ends = vec![End { shape: Shape::UNCHANGED, undone: false }];
    for file in PRESETS {
        let preset = Preset::from_toml(&preset_text(file)).unwrap();
        for setup in &preset.setups {
            for track in 0..preset.pickups.count() {
                let at =
                    |positions, chain| Transfer::of(&preset.pickups.with_positions(positions), track, chain);
                let from = at(preset.recorded_at, &preset.recorded);
                let to = at(setup.positions, &setup.chain);
                let shape = Change::new(&from, &to).shape(Ceiling::default());
                let back = Change::new(&to, &from).shape(Ceiling::default());
                ends.push(End { shape, undone: false });
                ends.push(End { shape: back, undone: true });
            }
        }
    }
    for through in ["56k", "1M", "22M"] {
        for ceiling in [12.0, 24.0, 30.0] {
            let shape = change("680p", through, "none").shape(Ceiling::Db(ceiling));
            ends.push(End { shape, undone: true });
        }
    }
    // From one load back to another may boost by more, and be a runaway.
    ends.retain(|end| end.shape.boost_db() <= 30.1);
    ends.extend(higher_order().into_iter().map(|(_, shape)| End { shape, undone: false }));
    ends
}

/// Strings, noise, a tone anywhere, with a rest in the middle; 20 dB below full scale, so that an undo is no runaway.
fn music(kind: u32, hz: f64, rate_hz: f64, frames: usize) -> Vec<f64> {
    let count = u32::try_from(frames).unwrap();
    let mut music = match kind % 4 {
        0 => plucked(rate_hz, count / 3 + 1, 3),
        1 => music_like_noise(kind, rate_hz, frames),
        2 => tone(hz, rate_hz, count, 0.3),
        _ => plucked(rate_hz, count / 7 + 1, 7),
    };
    music.truncate(frames);
    music.iter_mut().for_each(|value| *value *= 0.1);
    if kind.is_multiple_of(3) {
        music[frames / 2..frames * 5 / 8].fill(0.0);
    }
    music
}

/// The largest of each value and its neighbours up to `reach` away on both sides.
fn largest_around(values: &[f64], reach: usize) -> Vec<f64> {
    let mut best: VecDeque<usize> = VecDeque::new();
    let mut ahead = 0;
    (0..values.len())
        .map(|at| {
            while ahead < values.len().min(at + reach + 1) {
                while best.back().is_some_and(|last| values[*last] <= values[ahead]) {
                    best.pop_back();
                }
                best.push_back(ahead);
                ahead += 1;
            }
            while best.front().is_some_and(|first| first + reach < at) {
                best.pop_front();
            }
            values[best[0]]
        })
        .collect()
}

/// K-weighted power of the last `window_ms`, every 5 ms.
fn loudness(signal: &[f64], window_ms: u32, rate_hz: f64) -> Vec<f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rate")]
    let mut meter = EbuR128::new(1, rate_hz as u32, Mode::M).unwrap();
    signal
        .chunks(hop(rate_hz))
        .map(|part| {
            meter.add_frames_f64(part).unwrap();
            10f64.powf(meter.loudness_window(window_ms).unwrap() / 10.0)
        })
        .collect()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few thousand at most")]
fn frames(ms: f64, rate_hz: f64) -> usize {
    (ms * 1e-3 * rate_hz).ceil() as usize
}

/// 5 ms, rounded down as the meter does.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a thousand at most")]
fn hop(rate_hz: f64) -> usize {
    (rate_hz / 200.0) as usize
}

/// One sound run from the start by itself: its peaks and its loudness, each around.
struct Steady {
    peaks: Vec<f64>,
    loudness: Vec<f64>,
    /// Power of each 5 ms by themselves.
    moments: Vec<f64>,
}

impl Steady {
    fn new(shape: &Shape, input: &[f64], rate_hz: f64) -> Self {
        let mut processor = Processor::new(rate_hz, 1).unwrap();
        processor.set_guard(false);
        processor.change(shape, 1.0).unwrap();
        let output = run(&mut processor, input);
        let sizes: Vec<f64> = output.iter().map(|value| value.abs()).collect();
        Self {
            peaks: largest_around(&sizes, frames(10.0, rate_hz)),
            loudness: largest_around(&loudness(&output, 50, rate_hz), WINDOW_HOPS),
            moments: loudness(&output, 5, rate_hz),
        }
    }
}

/// What was asked for from a frame on.
struct Asked {
    end: usize,
    gain: f64,
    from: usize,
    /// When it no longer counts.
    until: usize,
}

/// How far `output` rises above the loudest of what was asked for, in dB: its peaks, and its loudness.
fn rises_db(output: &[f64], asked: &[Asked], steady: &[Option<Steady>], rate_hz: f64) -> (f64, f64) {
    // What is 80 dB below full scale is no burst.
    const FLOOR: f64 = 1e-4;
    let allowed = |frame: usize, of: &dyn Fn(&Steady) -> f64, power: i32| {
        let counts = asked.iter().filter(|asked| (asked.from..asked.until).contains(&frame));
        counts
            .map(|asked| asked.gain.powi(power) * of(steady[asked.end].as_ref().unwrap()))
            .fold(0.0, f64::max)
    };
    let peaks = output
        .iter()
        .enumerate()
        .map(|(frame, value)| value.abs() / (allowed(frame, &|steady| steady.peaks[frame], 1) + FLOOR));
    let (hop, loudness) = (hop(rate_hz), loudness(output, 50, rate_hz));
    let last = |at: usize| ((at + 1) * hop - 1).min(output.len() - 1);
    let powers = loudness.iter().enumerate().map(|(at, power)| {
        // A window reaches back to what counted at its beginning.
        let begin = last(at).saturating_sub(WINDOW_HOPS * hop);
        let most = |frame| allowed(frame, &|steady| steady.loudness[at], 2);
        // One more, which the window touches.
        let in_turn: f64 = (at.saturating_sub(WINDOW_HOPS)..=at)
            .map(|moment| allowed(last(moment), &|steady| steady.moments[moment], 2))
            .sum();
        let most = most(last(at)).max(most(begin)).max(in_turn * 0.1);
        power / (most + FLOOR * FLOOR)
    });
    (db(peaks.fold(0.0, f64::max)), 0.5 * db(powers.fold(0.0, f64::max)))
}

#[derive(Debug, Clone, Copy)]
enum Ask {
    Change { end: usize, gain_db: f64 },
    Gain { gain_db: f64, over_ms: f64 },
    Reset,
}

fn ask() -> impl Strategy<Value = Ask> {
    // Louder ones are a runaway.
    let gain_db = || prop_oneof![-40.0..12.0_f64, Just(0.0)];
    prop_oneof![
        6 => (any::<prop::sample::Index>(), gain_db())
            .prop_map(|(end, gain_db)| Ask::Change { end: end.index(ends().len()), gain_db }),
        4 => (gain_db(), prop_oneof![Just(200.0), Just(30.0), 0.0..500.0_f64])
            .prop_map(|(gain_db, over_ms)| Ask::Gain { gain_db, over_ms }),
        // A host that starts anew.
        1 => Just(Ask::Reset),
    ]
}

/// Milliseconds from one thing to the next: from a frame to most of a second.
fn pause() -> impl Strategy<Value = f64> {
    (-1.7..2.8_f64).prop_map(|exponent| 10f64.powf(exponent))
}

fn factor(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

/// Runs what is asked for, in blocks of such sizes. Gives what came out, and what was asked for, when.
fn ride(
    ends: &[End],
    (first, gain_db): (usize, f64),
    asks: &[(Ask, f64)],
    sizes: &[usize],
    input: &[f64],
    rate_hz: f64,
) -> (Vec<f64>, Vec<Asked>, u64) {
    let mut processor = Processor::new(rate_hz, 1).unwrap();
    let mut sizes = sizes.iter().copied().cycle();
    processor.change(&ends[first].shape, factor(gain_db)).unwrap();
    let mut asked = vec![Asked { end: first, gain: factor(gain_db), from: 0, until: usize::MAX }];
    let (mut output, mut slowest_ms, mut closures) = (Vec::new(), 0.0_f64, 0);
    for (ask, pause_ms) in asks.iter().copied().chain([(Ask::Reset, 0.0)]) {
        let start = output.len();
        let length = if pause_ms == 0.0 { input.len() } else { frames(pause_ms, rate_hz) };
        for chunk in cut(&input[start..(start + length).min(input.len())], &mut sizes) {
            output.extend(run(&mut processor, chunk));
        }
        let (at, last) = (output.len(), asked.len() - 1);
        let (end, gain) = match ask {
            Ask::Reset => continue,
            Ask::Change { end, gain_db } => {
                processor.change(&ends[end].shape, factor(gain_db)).unwrap();
                (end, factor(gain_db))
            }
            Ask::Gain { gain_db, over_ms } => {
                slowest_ms = slowest_ms.max(over_ms);
                processor.set_gain(factor(gain_db), over_ms).unwrap();
                (asked[last].end, factor(gain_db))
            }
        };
        asked[last].until = at + frames(LEFT_MS + 2.0 * slowest_ms, rate_hz);
        asked.push(Asked { end, gain, from: at, until: usize::MAX });
        closures = processor.guard_status().closures;
    }
    (output, asked, closures)
}

fn cut<'a>(input: &'a [f64], sizes: &mut impl Iterator<Item = usize>) -> Vec<&'a [f64]> {
    let (mut parts, mut rest) = (Vec::new(), input);
    while !rest.is_empty() {
        let (part, later) = rest.split_at(sizes.next().unwrap().min(rest.len()));
        parts.push(part);
        rest = later;
    }
    parts
}

proptest! {
    #![proptest_config(cases(150))]

    #[test]
    fn no_ride_is_louder_than_its_ends(
        first in any::<prop::sample::Index>(),
        asks in prop::collection::vec((ask(), pause()), 1..25),
        sizes in prop::collection::vec(1..4_096_usize, 1..6),
        rate_hz in prop::sample::select(vec![44_100.0, 48_000.0, 96_000.0, 192_000.0]),
        kind in 0..1_000_u32,
        pitch in 1.5..3.9_f64,
    ) {
        let ends = ends();
        let first = first.index(ends.len());
        let input = music(kind, 10f64.powf(pitch), rate_hz, frames(1_200.0, rate_hz));
        let (output, asked, closures) = ride(&ends, (first, 0.0), &asks, &sizes, &input, rate_hz);
        let steady: Vec<Option<Steady>> = (0..ends.len())
            .map(|end| asked.iter().any(|asked| asked.end == end).then(|| Steady::new(&ends[end].shape, &input, rate_hz)))
            .collect();
        let bar_db = if asked.iter().any(|asked| ends[asked.end].undone) { BAR_UNDONE_DB } else { BAR_DB };
        let (peak_db, loudness_db) = rises_db(&output, &asked, &steady, rate_hz);
        prop_assert_eq!(closures, 0, "the guard acted on music");
        prop_assert!(peak_db <= bar_db && loudness_db <= BAR_DB, "peaks {peak_db} dB, loudness {loudness_db} dB");
    }
}

/// Every ordered pair of all of them, changed at a moment of its own, with the gain of a level match that arrives 10 ms into the change.
#[test]
fn every_pair_of_all_presets() {
    let (rate_hz, ends) = (48_000.0, ends());
    let input = music(0, 0.0, rate_hz, 24_000);
    let steady: Vec<Option<Steady>> =
        ends.iter().map(|end| Some(Steady::new(&end.shape, &input, rate_hz))).collect();
    let mut worst = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for from in 0..ends.len() {
        for to in (0..ends.len()).filter(|to| *to != from) {
            // In ms.
            let start = f64::from(u16::try_from(20 + (from * 331 + to * 577) % 190).unwrap());
            let matching = |end: usize| -ends[end].shape.db(110.0).clamp(-40.0, 40.0);
            let asks = [
                (Ask::Change { end: to, gain_db: matching(to) }, start),
                (Ask::Gain { gain_db: matching(to) - 6.0, over_ms: 200.0 }, 10.0),
            ];
            let (output, asked, closures) =
                ride(&ends, (from, matching(from)), &asks, &[512], &input, rate_hz);
            let (peak_db, loudness_db) = rises_db(&output, &asked, &steady, rate_hz);
            let bar_db = if ends[from].undone || ends[to].undone { BAR_UNDONE_DB } else { BAR_DB };
            assert!(
                peak_db <= bar_db && loudness_db <= BAR_DB,
                "{from} to {to}: {peak_db} dB, {loudness_db} dB"
            );
            assert_eq!(closures, 0, "{from} to {to}: the guard acted on music");
            worst = (worst.0.max(peak_db), worst.1.max(loudness_db));
        }
    }
    println!(
        "{} ends: peaks at most {:.2} dB, loudness at most {:.2} dB above",
        ends.len(),
        worst.0,
        worst.1
    );
}

/// Found by the search: a tone that begins with a click where its treble is left over, changed a millisecond later into one as loud.
#[test]
fn a_click_and_the_tone_after_it() {
    let ends = ends();
    let treble = ends.iter().position(|end| !end.undone && end.shape.db(77.0) < -45.0).unwrap();
    let low_cut =
        ends.iter().position(|end| (-10.0..-3.0).contains(&end.shape.db(10.0)) && !end.undone).unwrap();
    let rate_hz = 44_100.0;
    let input = music(698, 76.9, rate_hz, frames(1_200.0, rate_hz));
    let to = |end, gain_db| Ask::Change { end, gain_db };
    let asks = [(to(low_cut, -38.1), 1.0), (to(0, 0.0), 259.2)];
    let (output, asked, _) = ride(&ends, (treble, 0.0), &asks, &[1], &input, rate_hz);
    let steady: Vec<Option<Steady>> =
        ends.iter().map(|end| Some(Steady::new(&end.shape, &input, rate_hz))).collect();
    let (peak_db, loudness_db) = rises_db(&output, &asked, &steady, rate_hz);
    assert!(peak_db <= BAR_DB && loudness_db <= BAR_DB, "{peak_db} dB, {loudness_db} dB");
}
