use std::fmt;

use dsp_core::circuit::Pickups;
use dsp_core::response::{Ceiling, Noise, Undo};
use firstjack_words::Words;
use serde::Serialize;

use super::recorded::{Recorded, Version};

/// What an undo gives back, leaves and raises. Of a blend the larger figure of its two pickups.
#[derive(Serialize)]
pub struct UndoReport {
    ceiling_db: Option<f64>,
    /// What every string still lacks.
    left: Vec<(String, f64)>,
    /// What a coil's top still lacks, and where, in Hz.
    top_left_db: Option<f64>,
    top_hz: Option<f64>,
    noise_below_200_hz_rises_db: f64,
    /// From 2 to 20 kHz, against 1 kHz.
    hiss_rises_db: f64,
    #[serde(skip)]
    sentence: String,
    #[serde(skip)]
    raises: Noise,
}

impl UndoReport {
    /// If the version undoes all load.
    pub fn of(recorded: &Recorded, version: &Version) -> Option<Self> {
        recorded.undoes(version).then(|| Self::new(recorded, version))
    }

    fn new(recorded: &Recorded, version: &Version) -> Self {
        let (strings, pickups, words) = (&recorded.strings, &recorded.pickups, Words::ENGLISH);
        let parts: Vec<Undo> = (0..pickups.count())
            .map(|index| Undo {
                from: &version.from.parts()[index],
                to: &version.to.parts()[index],
                shape: &version.shapes[index],
                magnetic: pickups.pickup(index).is_magnetic(),
            })
            .collect();
        let most = |of: &dyn Fn(&Undo) -> f64| parts.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        let left = strings.pitches.iter().map(|pitch| {
            let hz = pitch.hz(strings.a4_hz);
            (pitch.to_string(), most(&|part| part.left_db(hz)))
        });
        let top_hz = parts.iter().filter(|part| part.magnetic).map(Undo::top_hz).next();
        let sentence = |(index, part): (usize, &Undo)| {
            let sentence = words.undo(part, &strings.lowest, strings.lowest_hz());
            match pickups {
                Pickups::One(_) => sentence,
                Pickups::Blend(_) => format!("{}: {sentence}", words.pickup_short(pickups.pickup(index))),
            }
        };
        Self {
            ceiling_db: if let Ceiling::Db(db) = recorded.ceiling { Some(db) } else { None },
            left: left.collect(),
            top_left_db: top_hz.map(|hz| most(&|part| if part.magnetic { part.left_db(hz) } else { 0.0 })),
            top_hz,
            noise_below_200_hz_rises_db: most(&|part| Noise::Rumble.rise_db(part.shape)),
            hiss_rises_db: most(&|part| Noise::Hiss.rise_db(part.shape)),
            sentence: parts.iter().enumerate().map(sentence).collect::<Vec<_>>().join("; "),
            raises: Noise::raised_by(version.most_boosted()),
        }
    }

    /// The first line: what comes back.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }
}

impl fmt::Display for UndoReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ceiling = self.ceiling_db.map_or("off".to_owned(), |db| format!("{db} dB"));
        if self.raises == Noise::Hiss
            && let (Some(db), Some(hz)) = (self.top_left_db, self.top_hz)
        {
            let left = db.max(0.0);
            writeln!(f, "  undo ceiling {ceiling}; still lost at {}: {left:.1} dB", Words::ENGLISH.hz(hz))?;
        } else {
            let left: Vec<String> =
                self.left.iter().map(|(name, db)| format!("{name} {:.1}", db.max(0.0))).collect();
            writeln!(f, "  undo ceiling {ceiling}; still lost, in dB: {}", left.join(", "))?;
        }
        let rises_db = match self.raises {
            Noise::Rumble => self.noise_below_200_hz_rises_db,
            Noise::Hiss => self.hiss_rises_db,
        };
        writeln!(f, "  {}", Words::ENGLISH.noise(self.raises, rises_db))
    }
}
