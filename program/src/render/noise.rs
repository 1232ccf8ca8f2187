//! The noise of a take in words and figures.

use std::fmt;

use dsp_core::loudness::k_weight;
use dsp_core::response::Ceiling;
use dsp_core::units::{FullScale, Pitch};
use firstjack_measure::noise::{AutoCeiling, EAR_HZ, Heard, Line, Quiet, Stop, TakeNoise};
use firstjack_words::{ByHum, NoHigher, Words};
use serde::Serialize;

use super::listen::Listened;
use super::plan::Plan;
use super::recorded::Version;

/// A ceiling that is so much higher or lower is worth a line, in dB.
const OFFERED_DB: f64 = 3.0;

/// Of a take.
#[derive(Serialize)]
pub struct TakeNoiseReport {
    /// One, or of a blend one for each pickup's track.
    tracks: Vec<TrackNoise>,
}

#[derive(Serialize)]
struct TrackNoise {
    /// K-weighted, 20 Hz to 20 kHz; none where there is no noise.
    lufs: Option<f64>,
    below_music_lu: Option<f64>,
    /// Of every third octave: its middle in Hz, and dB re full scale squared per hertz, a sine of amplitude one being -3 dB.
    floor_db_per_hz: Vec<(f64, f64)>,
    /// The mains' frequency in Hz: its mean, its lowest and its highest.
    mains_hz: Option<f64>,
    mains_low_hz: Option<f64>,
    mains_high_hz: Option<f64>,
    /// Its lines: frequency in Hz, and mean square in dB re full scale squared.
    hum: Vec<(f64, f64)>,
    /// What heat in pickup and load makes from 20 Hz to 20 kHz, in V rms.
    thermal_volts: f64,
    /// How far the floor lies above that, if full scale is known in dBu.
    above_thermal_db: Option<f64>,
    #[serde(skip)]
    is_silence: bool,
}

fn db(power: f64) -> f64 {
    10.0 * power.log10()
}

impl TakeNoiseReport {
    pub fn new(plan: &Plan, listened: &Listened) -> Self {
        let track = |(index, heard)| TrackNoise::new(plan, index, heard);
        Self { tracks: listened.tracks().iter().enumerate().map(track).collect() }
    }
}

impl TrackNoise {
    fn new(plan: &Plan, track: usize, heard: &Heard) -> Self {
        let noise = heard.noise.noise();
        let music = &heard.music;
        let weighted = |noise: &TakeNoise| noise.power(EAR_HZ, k_weight);
        let hum = noise.and_then(|noise| noise.hum.as_ref());
        let thermal_volts = plan.recorded.johnson_noise(track).volts(EAR_HZ);
        let above = |(noise, full_scale): (&TakeNoise, FullScale)| {
            let volts = noise.without_hum().power(EAR_HZ, |_| 1.0).sqrt() * full_scale.peak_volts();
            2.0 * db(volts / thermal_volts)
        };
        Self {
            lufs: noise.map(|noise| music.lufs(weighted(noise))),
            below_music_lu: heard.music_db(),
            floor_db_per_hz: noise
                .into_iter()
                .flat_map(|noise| &noise.thirds)
                .map(|third| (third.hz, db(third.density)))
                .collect(),
            mains_hz: hum.map(|hum| hum.hz),
            mains_low_hz: hum.map(|hum| hum.wanders_hz.0),
            mains_high_hz: hum.map(|hum| hum.wanders_hz.1),
            hum: hum.into_iter().flat_map(|hum| &hum.lines).map(|line| (line.hz, db(line.power))).collect(),
            above_thermal_db: noise
                .zip(plan.undo.full_scale)
                .map(above)
                .filter(|db| thermal_volts > 0.0 && db.is_finite()),
            thermal_volts,
            is_silence: heard.noise == Quiet::Silence,
        }
    }

    /// The line that is strongest.
    fn strongest(&self) -> Option<Line> {
        let lines = self.hum.iter().map(|(hz, power)| Line { hz: *hz, power: *power });
        lines.max_by(|a, b| a.power.total_cmp(&b.power))
    }

    fn sentence(&self) -> String {
        let words = Words::ENGLISH;
        let Some(lufs) = self.lufs else {
            return words.get(if self.is_silence { "noise.silence" } else { "noise.too_short" }).to_owned();
        };
        let below = self.below_music_lu.map_or(0.0, |lu| lu);
        let values = [("lufs", &*format!("{lufs:.1} LUFS")), ("below", &format!("{below:.1} LU"))];
        let mut said = words.say("noise.take", &values);
        if let (Some(hz), Some(line)) = (self.mains_hz, self.strongest()) {
            let (mains, at) = (format!("{hz:.2} Hz"), words.hz(line.hz));
            let level = format!("{:.1} dBFS", line.power + db(2.0));
            said += &words.say("noise.hum", &[("mains", &mains), ("hz", &at), ("level", &level)]);
        }
        said
    }

    /// What heat has to do with it.
    fn thermal(&self) -> String {
        let words = Words::ENGLISH;
        let volts = format!("{:.2} µV", 1e6 * self.thermal_volts);
        match self.above_thermal_db {
            Some(above) if above >= 0.0 => {
                words.say("noise.above_thermal", &[("db", &words.db(above)), ("volts", &volts)])
            }
            Some(below) => words.say("noise.below_thermal", &[("db", &words.db(-below)), ("volts", &volts)]),
            None => words.say("noise.thermal", &[("volts", &volts)]),
        }
    }
}

impl fmt::Display for TakeNoiseReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, track) in self.tracks.iter().enumerate() {
            let which = if self.tracks.len() > 1 { format!("Track {}: ", index + 1) } else { String::new() };
            writeln!(f, "{which}{}.", Words::ENGLISH.sentence(&track.sentence()))?;
            writeln!(f, "{}.", Words::ENGLISH.sentence(&track.thermal()))?;
        }
        Ok(())
    }
}

/// What a take's noise has to do with an undo of it.
#[derive(Serialize)]
pub struct UndoNoise {
    /// String by string.
    strings: Vec<StringNoise>,
    /// What the noise allows.
    auto: Option<AutoReport>,
}

#[derive(Serialize)]
struct StringNoise {
    name: String,
    hz: f64,
    lost_db: f64,
    given_back_db: f64,
    still_lost_db: f64,
    /// How far it stands above the noise around it, behind the undo; the second harmonic too.
    above_noise_db: Option<f64>,
    harmonic_above_noise_db: Option<f64>,
}

#[derive(Serialize)]
struct AutoReport {
    ceiling_db: f64,
    /// Whether it is what was rendered with.
    used: bool,
    /// Why it is no higher: `enough`, `string`, `rumble`.
    stop: &'static str,
    /// What of the strings stops it, in Hz.
    stop_hz: Option<f64>,
    /// The line that is to blame, in Hz.
    hum_hz: Option<f64>,
    without_hum_db: f64,
    /// Strings that stay in noise at any ceiling, and what of them, in Hz; and what the others would allow.
    drowned: Vec<(String, f64)>,
    others_db: Option<f64>,
    #[serde(skip)]
    why: String,
    /// Whether it is far enough from what was rendered with.
    #[serde(skip)]
    is_offered: bool,
}

impl UndoNoise {
    /// Of a version of a take that was listened to.
    pub fn new(plan: &Plan, version: &Version, listened: &Listened) -> Option<Self> {
        let strings = &plan.recorded.strings;
        let level_left_db = version.parts().map(|part| part.level_left_db()).fold(f64::INFINITY, f64::min);
        let most = |of: &dyn Fn(&dsp_core::response::Undo) -> f64| {
            version.parts().map(|part| of(&part)).fold(f64::NEG_INFINITY, f64::max)
        };
        let string = |(index, pitch): (usize, &dsp_core::units::Pitch)| {
            let hz = pitch.hz(strings.a4_hz);
            let (lost_db, left_db) =
                (most(&|part| part.lost_db(hz)), most(&|part| part.left_db(hz)) - level_left_db);
            StringNoise {
                name: pitch.to_string(),
                hz,
                lost_db,
                given_back_db: lost_db - left_db,
                still_lost_db: left_db,
                above_noise_db: listened.string_db(version, index, 0),
                harmonic_above_noise_db: listened.string_db(version, index, 1),
            }
        };
        Some(Self {
            strings: strings.pitches.iter().enumerate().map(string).collect(),
            auto: listened.auto(plan, version).map(|auto| AutoReport::new(plan, version, auto)),
        })
    }
}

impl AutoReport {
    fn new(plan: &Plan, version: &Version, auto: AutoCeiling) -> Self {
        let (stop, stop_hz, hum_hz) = match auto.stop {
            Stop::Enough => ("enough", None, None),
            Stop::String { hz, hum_hz, .. } => ("string", Some(hz), hum_hz),
            Stop::Rumble { hum_hz } => ("rumble", None, hum_hz),
        };
        let apart = |ceiling: Ceiling| ceiling.db().is_some_and(|db| (db - auto.db).abs() >= OFFERED_DB);
        Self {
            ceiling_db: auto.db,
            used: plan.undo.is_auto,
            stop,
            stop_hz,
            hum_hz,
            without_hum_db: auto.without_hum_db,
            drowned: drowned(plan, &auto).map(|(string, hz)| (string.to_string(), hz)).collect(),
            others_db: auto.others.as_ref().map(|others| others.db),
            why: why(plan, &auto),
            is_offered: !plan.undo.is_auto && apart(version.ceiling),
        }
    }
}

/// Strings that stay in noise, and what of them, in Hz.
fn drowned<'a>(plan: &'a Plan, auto: &'a AutoCeiling) -> impl Iterator<Item = (&'a Pitch, f64)> {
    let drowned = auto.others.iter().flat_map(|others| &others.drowned);
    drowned.map(|(index, hz)| (&plan.recorded.strings.pitches[*index], *hz))
}

fn why(plan: &Plan, auto: &AutoCeiling) -> String {
    let (words, strings, margins) = (Words::ENGLISH, &plan.recorded.strings, plan.undo.margins);
    let by = |hz| ByHum { hz, without_db: auto.without_hum_db };
    let why = words.why_no_higher(&match auto.stop {
        Stop::Enough => NoHigher::Enough { lowest: &strings.lowest },
        Stop::String { index, hz, hum_hz } => NoHigher::String {
            string: &strings.pitches[index],
            hz,
            margin_db: margins.string_db,
            hum: hum_hz.map(by),
        },
        Stop::Rumble { hum_hz } => NoHigher::Rumble { margin_db: margins.rumble_db, hum: hum_hz.map(by) },
    });
    match &auto.others {
        Some(others) if others.db - auto.db >= OFFERED_DB => {
            words.why_but_others(&why, &drowned(plan, auto).collect::<Vec<_>>(), others.db)
        }
        _ => why,
    }
}

impl fmt::Display for UndoNoise {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "  string      lost  given back  still lost  above noise")?;
        for string in &self.strings {
            let above = string.above_noise_db.map_or("-".to_owned(), |db| format!("{db:.0} dB"));
            let StringNoise { name, lost_db, given_back_db, still_lost_db, .. } = string;
            writeln!(
                f,
                "  {name:6} {:9.1} {:11.1} {:11.1} {above:>12}",
                tenths(*lost_db),
                tenths(*given_back_db),
                tenths(still_lost_db.max(0.0))
            )?;
        }
        let Some(auto) = self.auto.as_ref().filter(|auto| auto.used || auto.is_offered) else {
            return Ok(());
        };
        let id = if auto.used { "auto.used" } else { "auto.offered" };
        let ceiling = format!("{:.1} dB", auto.ceiling_db);
        writeln!(f, "  {}", Words::ENGLISH.say(id, &[("ceiling", &ceiling), ("why", &auto.why)]))
    }
}

/// None of them "-0.0".
fn tenths(db: f64) -> f64 {
    (db * 10.0).round() / 10.0 + 0.0
}
