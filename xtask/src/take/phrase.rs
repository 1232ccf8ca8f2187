//! The phrase: nine bars of a slow three, in octaves, made up for the demo.
//!
//! The hand plucks a low string and its octave together, rests are damped by the palm, bars 5 to 7
//! lean across the bar, and the last low A is left to ring.

use super::strings::StringName;
use StringName::{A1, A2, C3, D2, E3, G2};

/// Silence before the first note, in seconds.
const LEAD_IN_S: f64 = 0.2;
/// One beat in seconds; three make a bar.
const BEAT_S: f64 = 0.65;
/// Beats in a bar.
const BEATS_PER_BAR: f64 = 3.0;
/// The upper string of an octave leaves the hand this much after the lower one, in seconds.
const SPREAD_S: f64 = 0.007;
/// The upper string is plucked with this share of the strength, so that the low one carries.
const UPPER_SHARE: f64 = 0.75;
/// A finger or palm brings a string to rest in this time, in seconds.
pub(super) const DAMP_S: f64 = 0.09;

/// A string and how many semitones above the open pitch it is stopped.
type Stop = (StringName, i32);

/// One movement of the hand.
#[derive(Clone, Copy, Debug)]
struct Gesture {
    /// Bar, counted from 1.
    bar: i32,
    /// Beat in the bar, counted from 0.
    beat: f64,
    low: Stop,
    /// The string plucked together with it.
    upper: Option<Stop>,
    /// Strength, 0 to 1.
    strength: f64,
    /// How long it rings, in beats.
    beats: f64,
}

/// One string set in motion, in absolute time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pluck {
    pub(super) string: StringName,
    /// Semitones above the open string.
    pub(super) semitones: i32,
    /// Strength, 0 to 1.
    pub(super) strength: f64,
    /// When the string leaves the finger, in seconds.
    pub(super) onset_s: f64,
    /// When it has been brought to rest, in seconds: damping takes the last [`DAMP_S`] before.
    pub(super) silent_s: f64,
}

const fn both(bar: i32, beat: f64, low: Stop, upper: Stop, strength: f64, beats: f64) -> Gesture {
    Gesture { bar, beat, low, upper: Some(upper), strength, beats }
}

const fn one(bar: i32, beat: f64, low: Stop, strength: f64, beats: f64) -> Gesture {
    Gesture { bar, beat, low, upper: None, strength, beats }
}

#[rustfmt::skip] // a score is read in columns
const PHRASE: &[Gesture] = &[
    both(1, 0.0, (A1, 0), (A2, 0), 0.90, 2.9),
    one (1, 1.5, (C3, 0),          0.55, 0.9),
    one (1, 2.0, (E3, 0),          0.60, 0.9),

    both(2, 0.0, (D2, 0), (C3, 2), 0.85, 2.0),
    one (2, 2.0, (A2, 0),          0.60, 0.5),
    one (2, 2.5, (G2, 0),          0.55, 0.5),

    both(3, 0.0, (G2, 0), (E3, 3), 0.85, 1.4),
    one (3, 1.5, (D2, 0),          0.65, 1.0),
    one (3, 2.5, (G2, 4),          0.60, 0.5),

    both(4, 0.0, (A1, 3), (C3, 0), 0.90, 2.2), // a tail, then a short rest

    both(5, 0.0, (D2, 3), (E3, 1), 0.85, 1.0),
    one (5, 1.0, (A2, 0),          0.60, 0.5),
    both(5, 1.5, (D2, 3), (E3, 1), 0.75, 0.9),
    one (5, 2.5, (C3, 0),          0.60, 0.5),

    both(6, 0.0, (D2, 2), (E3, 0), 0.90, 1.0),
    both(6, 1.0, (D2, 2), (E3, 0), 0.75, 1.0),
    one (6, 2.0, (G2, 4),          0.65, 0.5),
    one (6, 2.5, (G2, 1),          0.65, 0.5),

    both(7, 0.0, (A1, 0), (A2, 0), 0.90, 1.0),
    both(7, 1.0, (G2, 0), (E3, 3), 0.75, 1.0),
    both(7, 2.0, (D2, 3), (E3, 1), 0.75, 1.0),

    both(8, 0.0, (D2, 2), (E3, 0), 0.90, 0.7), // rest on the second beat
    one (8, 2.0, (D2, 2),          0.60, 0.5),
    one (8, 2.5, (G2, 1),          0.65, 0.5),

    one (9, 0.0, (A1, 0),          1.00, 4.7), // rings out; then nothing but the noise floor
];

/// The phrase as plucks in order of time. A string's next pluck damps what still rings on it.
pub(super) fn plucks() -> Vec<Pluck> {
    let mut plucks: Vec<Pluck> = PHRASE.iter().flat_map(strokes).collect();
    plucks.sort_by(|a, b| a.onset_s.total_cmp(&b.onset_s));
    for index in 0..plucks.len() {
        let (earlier, later) = plucks.split_at_mut(index + 1);
        let pluck = &mut earlier[index];
        if let Some(next) = later.iter().find(|next| next.string == pluck.string) {
            pluck.silent_s = pluck.silent_s.min(next.onset_s);
        }
    }
    plucks
}

/// The one or two strings that a gesture sets in motion.
fn strokes(gesture: &Gesture) -> impl Iterator<Item = Pluck> + use<> {
    let beats = f64::from(gesture.bar - 1) * BEATS_PER_BAR + gesture.beat;
    let low_s = LEAD_IN_S + beats * BEAT_S;
    let silent_s = low_s + gesture.beats * BEAT_S + DAMP_S;
    let stroke = |(string, semitones): Stop, strength: f64, onset_s: f64| Pluck {
        string,
        semitones,
        strength,
        onset_s,
        silent_s,
    };
    let upper = gesture.upper.map(|stop| stroke(stop, gesture.strength * UPPER_SHARE, low_s + SPREAD_S));
    [Some(stroke(gesture.low, gesture.strength, low_s)), upper].into_iter().flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_string_sounds_open() {
        for name in StringName::ALL {
            assert!(plucks().iter().any(|pluck| pluck.string == name && pluck.semitones == 0), "{name:?}");
        }
    }

    #[test]
    fn strings_plucked_together_are_an_octave_apart() {
        for gesture in PHRASE {
            if let Some(upper) = gesture.upper {
                let ratio = upper.0.pitch_hz(upper.1) / gesture.low.0.pitch_hz(gesture.low.1);
                assert!((ratio - 2.0).abs() < 1e-12, "{gesture:?}: {ratio}");
            }
        }
    }

    #[test]
    fn no_string_is_damped_before_it_has_spoken_or_rings_into_its_next_pluck() {
        let plucks = plucks();
        for (index, pluck) in plucks.iter().enumerate() {
            assert!(pluck.silent_s - pluck.onset_s > 2.0 * DAMP_S, "{pluck:?}");
            for next in plucks[index + 1..].iter().filter(|next| next.string == pluck.string) {
                assert!(pluck.silent_s <= next.onset_s, "{pluck:?} {next:?}");
            }
        }
    }

    #[test]
    fn ends_on_the_open_low_a_and_a_second_of_silence() {
        let plucks = plucks();
        let last = plucks[plucks.len() - 1];
        assert_eq!((last.string, last.semitones), (A1, 0));
        assert!(plucks.iter().all(|pluck| pluck.silent_s <= super::super::LENGTH_S - 0.95));
    }
}
