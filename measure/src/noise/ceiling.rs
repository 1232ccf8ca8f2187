//! How much boost a take's own noise allows.

use dsp_core::loudness::k_weight;
use dsp_core::response::{Ceiling, Shape};

use super::Heard;
use super::music::{Music, ear_band};
use super::taken::TakeNoise;

/// Rumble and hum lie here, in Hz.
const RUMBLE_HZ: (f64, f64) = (20.0, 200.0);

/// Least that an automatic ceiling is, in dB, and what counts as given back at all: less cannot be heard to bring noise.
const LEAST_DB: f64 = 1.0;

/// A higher ceiling gives nobody anything where the lowest string lacks no more than this, in dB.
const ENOUGH_DB: f64 = 0.1;
const MOST_DB: f64 = 120.0;

/// Ceilings that are tried, downwards, and how finely one is told, in dB.
const STEP_DB: f64 = 0.25;
const TELLS_DB: f64 = 0.1;

/// Hum is why, where the ceiling would be this much higher without, in dB.
const HUM_DB: f64 = 1.0;

/// A change's flat part is looked for in octaves from here on, in Hz.
const OCTAVES: (f64, u8) = (31.25, 10);

/// How far music has to stand above the noise that is lifted with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margins {
    /// A string's fundamental and its second harmonic above what an ear hears together with them, in dB.
    pub string_db: f64,
    /// All music above noise from 20 to 200 Hz, both K-weighted, in dB.
    pub rumble_db: f64,
}

impl Default for Margins {
    /// 10 and 15 dB.
    fn default() -> Self {
        Self { string_db: 10.0, rumble_db: 15.0 }
    }
}

/// One track of a take, and what a ceiling makes of the change that it is to be heard with.
#[derive(Clone, Copy)]
pub struct Track<'a> {
    /// What was heard of it.
    pub heard: &'a Heard,
    /// The change within a ceiling.
    pub shape: &'a dyn Fn(Ceiling) -> Shape,
}

/// Why a ceiling is no higher.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop {
    /// The lowest string has everything back.
    Enough,
    /// A string's fundamental or its second harmonic, at `hz`, would not stand clear of noise; `hum_hz` is the line that is to blame.
    String {
        /// Which string, in the order that they were asked for in.
        index: usize,
        /// What of it, in Hz.
        hz: f64,
        /// If hum is why.
        hum_hz: Option<f64>,
    },
    /// Noise from 20 to 200 Hz would be too loud beside the music.
    Rumble {
        /// If hum is why.
        hum_hz: Option<f64>,
    },
}

/// The highest ceiling that keeps the margins.
#[derive(Debug, Clone, PartialEq)]
pub struct AutoCeiling {
    /// In dB, in whole tenths.
    pub db: f64,
    /// Why it is no higher.
    pub stop: Stop,
    /// What it would be without the mains' lines, in dB.
    pub without_hum_db: f64,
    /// What the other strings would allow, if noise drowns some: these get no clearer at any ceiling.
    pub others: Option<Others>,
}

/// A ceiling for all but what noise drowns.
#[derive(Debug, Clone, PartialEq)]
pub struct Others {
    /// Which strings, in the order that they were asked for in, and what of them, in Hz.
    pub drowned: Vec<(usize, f64)>,
    /// In dB, in whole tenths.
    pub db: f64,
}

impl AutoCeiling {
    /// Of a change that is played on one track or, of a blend, on two; `None` where nothing plays, or a track's noise drowns it ([`Heard::is_drowned`]).
    ///
    /// The highest one, of those that give the lowest string anything, at which every string's fundamental and second harmonic that get anything back
    /// stand `string_db` above the noise in the ear's band around them, and all music `rumble_db` above noise from 20 to 200 Hz. Noise alone stays
    /// below as far as nothing is given back, so that at least 1 dB is always allowed.
    pub fn new(tracks: &[Track], margins: Margins) -> Option<Self> {
        let judges: Vec<Judge> = tracks.iter().filter_map(Judge::new).collect();
        if judges.is_empty() || tracks.iter().any(|track| track.heard.is_drowned()) {
            return None;
        }
        let most_db = judges.iter().map(Judge::enough_db).fold(LEAST_DB, f64::max);
        let db = highest_db(&judges, margins, most_db);
        let without: Vec<Judge> = judges.iter().map(Judge::without_hum).collect();
        let without_hum_db = highest_db(&without, margins, most_db);
        let stop = if db + TELLS_DB > most_db {
            Stop::Enough
        } else {
            stop(&judges, margins, db + 2.0 * TELLS_DB, without_hum_db >= db + HUM_DB)
        };
        Some(Self { db, stop, without_hum_db, others: others(&judges, margins, most_db) })
    }
}

/// Where an ear hears string and noise together, an undo lifts both alike: what is not clear of it at the least ceiling never is.
fn others(judges: &[Judge], margins: Margins, most_db: f64) -> Option<Others> {
    let without: Vec<Judge> = judges.iter().map(|judge| judge.without_drowned(margins)).collect();
    let gone = judges.iter().zip(&without).flat_map(|(judge, without)| {
        let parts = judge.strings.iter().zip(&without.strings).enumerate();
        parts.flat_map(|(index, (all, left))| {
            let parts = all.iter().zip(left).filter(|(all, left)| all.1 != left.1);
            parts.map(move |(all, _)| (index, all.0))
        })
    });
    let mut drowned: Vec<(usize, f64)> = gone.collect();
    drowned.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    drowned.dedup();
    (!drowned.is_empty()).then(|| Others { drowned, db: highest_db(&without, margins, most_db) })
}

fn highest_db(judges: &[Judge], margins: Margins, most_db: f64) -> f64 {
    let keeps = |db: f64| judges.iter().all(|judge| judge.failing(db, margins).is_none());
    // Divided, so that it is the number that is nearest to what is written.
    let tenths = |db: f64| (db / TELLS_DB + 1e-9).floor() / TELLS_DB.recip();
    let mut above = most_db;
    let mut db = most_db;
    while !keeps(db) {
        if db <= LEAST_DB {
            return LEAST_DB;
        }
        above = db;
        db = (db - STEP_DB).max(LEAST_DB);
    }
    while above - db > 0.1 * TELLS_DB {
        let middle = 0.5 * (db + above);
        if keeps(middle) {
            db = middle;
        } else {
            above = middle;
        }
    }
    tenths(db)
}

fn stop(judges: &[Judge], margins: Margins, db: f64, by_hum: bool) -> Stop {
    let worst = judges.iter().filter_map(|judge| Some((judge, judge.failing(db, margins)?)));
    let Some((judge, failing)) = worst.min_by(|a, b| a.1.over_db.total_cmp(&b.1.over_db)) else {
        return Stop::Enough;
    };
    let shape = (judge.track.shape)(Ceiling::Db(db));
    let loudest = |band_hz, weight: &dyn Fn(f64) -> f64| {
        let lines = judge.noise.as_ref().into_iter().flat_map(|noise| noise.lines(band_hz));
        let lines = lines.filter(|_| by_hum).map(|line| (line.hz, line.power * weight(line.hz)));
        lines.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(hz, _)| hz)
    };
    match failing.string {
        Some((index, hz)) => Stop::String { index, hz, hum_hz: loudest(ear_band(hz), &|hz| shape.power(hz)) },
        None => Stop::Rumble { hum_hz: loudest(RUMBLE_HZ, &|hz| shape.power(hz) * k_weight(hz)) },
    }
}

/// A margin that is not kept.
struct Failing {
    /// Which string, and where in Hz; none of the music as a whole.
    string: Option<(usize, f64)>,
    /// By how much it is kept, in dB: less than nothing.
    over_db: f64,
}

/// What one track's music stands above.
pub struct Judge<'a> {
    track: Track<'a>,
    noise: Option<TakeNoise>,
    /// Of every string's fundamental and second harmonic: where in Hz, and how strong it is in the take.
    strings: Vec<[(f64, Option<f64>); 2]>,
}

impl<'a> Judge<'a> {
    /// `None` where nothing plays.
    pub fn new(track: &Track<'a>) -> Option<Self> {
        let music = &track.heard.music;
        if music.bands.iter().all(|(_, power)| *power == 0.0) {
            return None;
        }
        Some(Self {
            track: *track,
            noise: track.heard.noise.noise().cloned(),
            strings: strengths(music, track),
        })
    }

    fn without_hum(&self) -> Self {
        let noise = self.noise.as_ref().map(TakeNoise::without_hum);
        Self { noise, strings: self.strings.clone(), ..*self }
    }

    /// Asks nothing of what is not clear of noise at the least ceiling.
    fn without_drowned(&self, margins: Margins) -> Self {
        let shape = (self.track.shape)(Ceiling::Db(LEAST_DB));
        let mut strings = self.strings.clone();
        for (index, parts) in strings.iter_mut().enumerate() {
            for (part, (_, strength)) in parts.iter_mut().enumerate() {
                if self.string_db(&shape, index, part).is_some_and(|db| db < margins.string_db) {
                    *strength = None;
                }
            }
        }
        Self { noise: self.noise.clone(), strings, ..*self }
    }

    /// How far a string's fundamental (0) or second harmonic (1) stands above noise behind a change, in dB; `None` without noise, or where no string is
    /// heard at all.
    pub fn string_db(&self, shape: &Shape, index: usize, part: usize) -> Option<f64> {
        let (hz, power) = *self.strings.get(index)?.get(part)?;
        let noise = self.noise.as_ref()?.power(ear_band(hz), |hz| shape.power(hz));
        Some(10.0 * (power? * shape.power(hz) / noise).log10())
    }

    /// How far all music stands above noise from 20 to 200 Hz behind a change, both K-weighted, in dB; `None` without noise.
    pub fn music_db(&self, shape: &Shape) -> Option<f64> {
        let noise = self.noise.as_ref()?.power(RUMBLE_HZ, |hz| shape.power(hz) * k_weight(hz));
        Some(10.0 * (self.track.heard.music.power(|hz| shape.power(hz)) / noise).log10())
    }

    /// What is kept worst of what is not kept.
    fn failing(&self, ceiling_db: f64, margins: Margins) -> Option<Failing> {
        let shape = (self.track.shape)(Ceiling::Db(ceiling_db));
        let flat_db = flat_db(&shape);
        let gets = |hz: f64| shape.db(hz) - flat_db > LEAST_DB + 1e-6;
        let places = (0..self.strings.len()).flat_map(|index| [(index, 0), (index, 1)]);
        let strings = places.filter_map(|(index, part)| {
            let hz = self.strings[index][part].0;
            let over_db = self.string_db(&shape, index, part).filter(|_| gets(hz))? - margins.string_db;
            Some(Failing { string: Some((index, hz)), over_db })
        });
        let rumble = self.music_db(&shape).filter(|_| ceiling_db > LEAST_DB);
        let rumble = rumble.map(|db| Failing { string: None, over_db: db - margins.rumble_db });
        strings
            .chain(rumble)
            .filter(|failing| failing.over_db < 0.0)
            .min_by(|a, b| a.over_db.total_cmp(&b.over_db))
    }

    /// The least ceiling at which the lowest string has everything back.
    fn enough_db(&self) -> f64 {
        let lowest_hz = self.strings.iter().map(|parts| parts[0].0).fold(f64::INFINITY, f64::min);
        let given = |ceiling| {
            let shape = (self.track.shape)(ceiling);
            shape.db(lowest_hz) - flat_db(&shape)
        };
        let all_db = given(Ceiling::Off);
        let (mut low, mut high) = (0.0, MOST_DB);
        while high - low > 0.1 * TELLS_DB {
            let middle = 0.5 * (low + high);
            if given(Ceiling::Db(middle)) < all_db - ENOUGH_DB { low = middle } else { high = middle }
        }
        high
    }
}

/// What a change does to every frequency alike, in dB: a level.
fn flat_db(shape: &Shape) -> f64 {
    let octaves = (0..OCTAVES.1).map(|octave| OCTAVES.0 * f64::from(octave).exp2());
    octaves.map(|hz| shape.db(hz)).fold(f64::INFINITY, f64::min)
}

/// How strong each string is in the take: as it was heard, or where noise hides it, or nobody played it, as strong as the others are before any load
/// (the median), less what the load took.
fn strengths(music: &Music, track: &Track) -> Vec<[(f64, Option<f64>); 2]> {
    let exact = (track.shape)(Ceiling::Off);
    let unloaded = |part: usize| {
        let of =
            |string: &super::StringLevel| Some(string.heard[part]? * exact.power(place(string.hz, part)));
        median(music.strings.iter().filter_map(of).collect())
    };
    let both = [unloaded(0), unloaded(1)];
    let strength = |string: &super::StringLevel, part: usize| {
        let hz = place(string.hz, part);
        let expected = || Some(both[part].or(both[1 - part])? / exact.power(hz));
        (hz, string.heard[part].or_else(expected))
    };
    music.strings.iter().map(|string| [strength(string, 0), strength(string, 1)]).collect()
}

fn place(hz: f64, part: usize) -> f64 {
    hz * if part == 0 { 1.0 } else { 2.0 }
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}
