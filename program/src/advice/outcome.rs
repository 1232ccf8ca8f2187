use dsp_core::circuit::{Chain, Pickups, Spread};
use dsp_core::response::{Merit, Range, Response};
use dsp_core::units::Pitch;
use firstjack_words::Words;

/// What becomes of the pickups in a chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// In the middle of tolerances.
    pub merit: Merit,
    /// Within them, where there are any.
    pub range: Option<Range>,
}

impl Outcome {
    pub fn new(pickups: &Pickups, chain: &Chain, lowest_hz: f64) -> Self {
        let merit = Merit::of(&Response::new(pickups, chain), lowest_hz);
        let spread = Spread::of(pickups, [chain]);
        let range = spread.map(|spread| match merit {
            Merit::LossDb(_) => spread.loss_db(lowest_hz),
            Merit::TopHz(_) => spread.top_corner_hz(),
        });
        Self { merit, range }
    }

    /// What the lowest string loses at most, in dB; zero of magnetic pickups.
    pub fn most_loss_db(&self) -> f64 {
        match self.merit {
            Merit::LossDb(db) => self.range.map_or(db, |range| range.high),
            Merit::TopHz(_) => 0.0,
        }
    }

    /// "13 dB", "11 to 16 dB", "4.1 kHz".
    pub fn figure(&self, words: &Words) -> String {
        match (self.merit, self.range) {
            (Merit::LossDb(_), Some(range)) => words.db_range(range),
            (Merit::LossDb(db), None) => words.db(db),
            (Merit::TopHz(_), Some(range)) if range.low.is_finite() => words.hz_range(range),
            (Merit::TopHz(hz), None) if hz.is_finite() => words.hz(hz),
            (Merit::TopHz(_), _) => words.get("advice.top_stays").to_owned(),
        }
    }

    /// "low A loses 13 dB", "the top falls by 3 dB at 4.1 kHz".
    pub fn told(&self, lowest: &Pitch, words: &Words) -> String {
        let (string, figure) = (words.note(lowest), self.figure(words));
        match self.merit {
            Merit::LossDb(db) if db < -0.05 => {
                words.say("advice.gains", &[("string", string), ("figure", &figure)])
            }
            Merit::LossDb(_) => words.say("advice.loses", &[("string", string), ("figure", &figure)]),
            Merit::TopHz(_) => words.say("advice.top", &[("figure", &figure)]),
        }
    }
}
