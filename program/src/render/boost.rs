use std::fmt;

use dsp_core::circuit::Pickups;
use dsp_core::response::{Noise, Range, Response, Shape, Undo};
use firstjack_words::Words;
use serde::Serialize;

use super::listen::Listened;
use super::noise::UndoNoise;
use super::plan::Plan;
use super::recorded::{Recorded, Version};

/// From here on a boost is told, and that the system should be turned down, in dB.
pub const LOUD_DB: f64 = 6.0;

/// Less than this is no tilt worth a line, in dB.
const LEAST_DB: f64 = 0.05;
/// What it is against.
const MIDDLE_HZ: f64 = 1e3;

/// What a change that undoes a load, or boosts much, gives back, leaves and raises. Of a blend the larger figure of its two pickups.
#[derive(Serialize)]
pub struct BoostReport {
    ceiling_db: Option<f64>,
    /// What the ceiling costs at every frequency, a level that gain gives back.
    level_left_db: f64,
    /// What every string still lacks besides.
    left: Vec<(String, f64)>,
    /// The same, least and most, wherever the values lie within their tolerances; the filter is that of their middle.
    #[serde(skip_serializing_if = "Option::is_none")]
    left_within: Option<Vec<(String, Range)>>,
    /// What the lowest string then lacks against 1 kHz, negative for too much.
    #[serde(skip_serializing_if = "Option::is_none")]
    tilt_db: Option<Range>,
    /// What a coil's top still lacks, and where, in Hz.
    top_left_db: Option<f64>,
    top_hz: Option<f64>,
    noise_below_200_hz_rises_db: f64,
    /// From 2 to 20 kHz, against 1 kHz.
    hiss_rises_db: f64,
    /// Where the change comes down again below the lowest string, in Hz, and what that costs the string.
    #[serde(skip_serializing_if = "Option::is_none")]
    undo_floor_hz: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    undo_floor_costs_db: Option<f64>,
    #[serde(skip)]
    undo_floor: Option<String>,
    /// What the take's noise has to do with it, where it was listened to.
    #[serde(flatten)]
    noise: Option<UndoNoise>,
    #[serde(skip)]
    sentence: String,
    #[serde(skip)]
    raises: Noise,
    /// What the figures rest on, if that is the middle of no tolerance.
    #[serde(skip)]
    pickup: Option<String>,
}

impl BoostReport {
    /// If the version undoes all load, or boosts much.
    pub fn of(recorded: &Recorded, version: &Version) -> Option<Self> {
        (version.undoes() || version.boost_db() > LOUD_DB).then(|| Self::new(recorded, version))
    }

    fn new(recorded: &Recorded, version: &Version) -> Self {
        let strings = &recorded.strings;
        let parts: Vec<Undo> = version.parts().collect();
        let most = |of: &dyn Fn(&Undo) -> f64| parts.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        let marks: Vec<(String, f64)> =
            strings.pitches.iter().map(|pitch| (pitch.to_string(), pitch.hz(strings.a4_hz))).collect();
        let level_left_db = parts.iter().map(Undo::level_left_db).fold(f64::INFINITY, f64::min);
        let left = |hz: f64| most(&|part| part.left_db(hz)) - level_left_db;
        let top_hz = parts.iter().filter(|part| part.magnetic).map(Undo::top_hz).next();
        let spreads = version.has_tolerances();
        let left_db = |from: &Response, to: &Response, hz| left_db(from, to, &version.shapes, hz);
        let within = |hz: f64| version.between.range(|from, to| left_db(from, to, hz) - level_left_db);
        let tilt =
            |hz| version.between.range(|from, to| left_db(from, to, hz) - left_db(from, to, MIDDLE_HZ));
        Self {
            ceiling_db: version.ceiling.db(),
            level_left_db,
            left: marks.iter().map(|(name, hz)| (name.clone(), left(*hz))).collect(),
            left_within: spreads
                .then(|| marks.iter().map(|(name, hz)| (name.clone(), within(*hz))).collect()),
            tilt_db: spreads.then(|| tilt(strings.lowest_hz())),
            top_left_db: top_hz.map(|hz| most(&|part| if part.magnetic { part.left_db(hz) } else { 0.0 })),
            top_hz,
            noise_below_200_hz_rises_db: most(&|part| Noise::Rumble.rise_db(part.shape)),
            hiss_rises_db: most(&|part| Noise::Hiss.rise_db(part.shape)),
            undo_floor_hz: version.floor.map(|floor| floor.hz),
            undo_floor_costs_db: version.floor.map(|floor| floor.cost_db(strings.lowest_hz())),
            undo_floor: version.floor.map(|floor| Words::ENGLISH.undo_floor(floor, strings.lowest_hz())),
            noise: None,
            sentence: sentence(recorded, &parts),
            raises: Noise::raised_by(version.most_boosted()),
            pickup: (!spreads).then(|| Words::ENGLISH.value(recorded.pickups.pickup(0))),
        }
    }

    /// With what the take's noise has to do with it.
    pub fn with_noise(self, plan: &Plan, version: &Version, listened: &Listened) -> Self {
        Self { noise: UndoNoise::new(plan, version, listened), ..self }
    }

    /// The first line on an undo: what comes back.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }
}

/// What is left at `hz` of what was lost, were the circuits those of these responses.
fn left_db(from: &Response, to: &Response, shapes: &[Shape], hz: f64) -> f64 {
    let parts = from.parts().iter().zip(to.parts()).zip(shapes);
    let left = parts.map(|((from, to), shape)| from.loss_db(hz) - to.loss_db(hz) - shape.db(hz));
    left.fold(f64::NEG_INFINITY, f64::max)
}

fn sentence(recorded: &Recorded, parts: &[Undo]) -> String {
    let (strings, words) = (&recorded.strings, Words::ENGLISH);
    let sentence = |(index, part): (usize, &Undo)| {
        let sentence = words.undo(part, &strings.lowest, strings.lowest_hz());
        match recorded.pickups {
            Pickups::One(_) => sentence,
            Pickups::Blend(_) => {
                format!("{}: {sentence}", words.pickup_short(recorded.pickups.pickup(index)))
            }
        }
    };
    parts.iter().enumerate().map(sentence).collect::<Vec<_>>().join("; ")
}

impl fmt::Display for BoostReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ceiling = self.ceiling_db.map_or("off".to_owned(), |db| format!("{db} dB"));
        let given = self.pickup.as_ref().map_or(String::new(), |value| format!(" if the pickup has {value}"));
        if self.raises == Noise::Hiss
            && let (Some(db), Some(hz)) = (self.top_left_db, self.top_hz)
        {
            let left = db.max(0.0);
            writeln!(
                f,
                "  undo ceiling {ceiling}; still lost at {}{given}: {left:.1} dB",
                Words::ENGLISH.hz(hz)
            )?;
        } else {
            let left: Vec<String> =
                self.left.iter().map(|(name, db)| format!("{name} {:.1}", db.max(0.0))).collect();
            writeln!(f, "  undo ceiling {ceiling}; still lost{given}, in dB: {}", left.join(", "))?;
        }
        if self.level_left_db > LEAST_DB {
            let level = Words::ENGLISH.db(self.level_left_db);
            writeln!(
                f,
                "  {level} more at every frequency: level, which gain gives back, left so that no boost exceeds the ceiling"
            )?;
        }
        if let (Some(within), Some(tilt)) = (&self.left_within, self.tilt_db) {
            let ranges: Vec<String> =
                within.iter().map(|(name, range)| format!("{name} {}", signed(*range))).collect();
            let ranges = ranges.join(", ");
            writeln!(
                f,
                "  wherever the values lie within their tolerances, in dB, minus for too much: {ranges}"
            )?;
            if tilt.low.abs().max(tilt.high.abs()) > LEAST_DB {
                writeln!(
                    f,
                    "  so a wrong value leaves a tilt: the lowest string against 1 kHz {} dB",
                    signed(Range { low: -tilt.high, high: -tilt.low })
                )?;
            }
        }
        let rises_db = match self.raises {
            Noise::Rumble => self.noise_below_200_hz_rises_db,
            Noise::Hiss => self.hiss_rises_db,
        };
        writeln!(f, "  {}", Words::ENGLISH.noise(self.raises, rises_db))?;
        if let Some(floor) = &self.undo_floor {
            writeln!(f, "  {floor}")?;
        }
        self.noise.as_ref().map_or(Ok(()), |noise| noise.fmt(f))
    }
}

/// "-5.9 to +3.2".
fn signed(range: Range) -> String {
    let tenths = |db: f64| format!("{:+.1}", (db * 10.0).round() / 10.0 + 0.0);
    format!("{} to {}", tenths(range.low), tenths(range.high))
}
