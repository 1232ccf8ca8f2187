//! What of what is heard gives back what a load took: noise comes with it, and may decide how much boost it is given.

use dsp_core::response::{Ceiling, Change, Floor, Shape};
use firstjack_measure::noise::{AutoCeiling, Heard, Margins, Track};

/// A change gives the lowest string something back if it raises it by so much against the middle, in dB.
const GIVES_DB: f64 = 1.0;
const MIDDLE_HZ: f64 = 1e3;
/// A coil's top is given back where a change boosts by so much, in dB.
const COIL_DB: f64 = 6.0;
/// A limit that changes less than this, in dB, is none.
const LEAST_DB: f64 = 0.1;

/// How an undo is played on each track.
#[derive(Debug, Clone, PartialEq)]
pub enum Undoing {
    /// The lows of capacitive pickups come back, by this rule, and down again where they do.
    Lows(Vec<Change>, Ceiling, Option<Floor>),
    /// Of a coil, or of one beside a capacitive pickup, whatever it lost.
    Coil,
}

impl Undoing {
    /// Of a change for each track by the ceiling's present rule, if it gives anything back that the ceiling has to do with.
    pub fn new(
        changes: Vec<Change>,
        (rule, floor): (Ceiling, Option<Floor>),
        lowest_hz: f64,
        is_coil: bool,
    ) -> Option<Self> {
        if is_coil {
            let boosts = |change: &Change| change.shape(Ceiling::Off).boost_db() > COIL_DB;
            return changes.iter().any(boosts).then_some(Self::Coil);
        }
        let gives = |change: &Change| {
            let all = change.shape(Ceiling::Off);
            let least = change.shape(rule.with_db(LEAST_DB));
            !all.is_lossless()
                && all.db(lowest_hz) - all.db(MIDDLE_HZ) > GIVES_DB
                && least.db(lowest_hz) < all.db(lowest_hz) - LEAST_DB
        };
        // The same whatever the limit is now.
        let is_given = changes.iter().any(gives);
        is_given.then(|| Self::Lows(changes, rule.with_db(LEAST_DB), floor))
    }

    /// The most boost that noise and music of each track allow. A track that is not there, as a blend's second on a mono track, counts for nothing.
    pub fn auto(&self, heard: &[Heard]) -> Option<AutoCeiling> {
        let Self::Lows(changes, rule, floor) = self else { return None };
        let shape = |change: &Change, ceiling: Ceiling| {
            let shape = change.shape(ceiling.db().map_or(Ceiling::Off, |db| rule.with_db(db)));
            floor.map_or(shape, |floor| floor.under(&shape))
        };
        let shapes: Vec<_> = changes
            .iter()
            .map(|change| move |ceiling: Ceiling| -> Shape { shape(change, ceiling) })
            .collect();
        let tracks: Vec<Track> =
            heard.iter().zip(&shapes).map(|(heard, shape)| Track { heard, shape }).collect();
        AutoCeiling::new(&tracks, Margins::default())
    }
}
