//! The signal path of one instance: follows the parameters and the predicted loudness, and drives the core's
//! processor. Nothing here allocates once it is made.

use arrayvec::ArrayVec;
use dsp_core::loudness::LoudnessPredictor;
use dsp_core::processor::{CHANGE_MS, Processor, ProcessorError};
use dsp_core::response::Shape;

use crate::params::SETUPS;
use crate::snapshot::Snapshot;

/// Channels of the widest layout.
pub(crate) const MAX_CHANNELS: usize = 2;

/// The matching gain follows the music this slowly, so that it is not heard to move.
const FOLLOW_MS: f64 = 200.0;
/// It stays where it is until it is off by more than this.
const FOLLOW_DB: f64 = 0.05;
/// No matching gain is larger, up or down.
const MATCHING_DB: f64 = 40.0;

pub(crate) struct Engine {
    processor: Processor,
    predictor: LoudnessPredictor,
    /// The prediction that `matching_db` was made from.
    version: u64,
    snapshot: Snapshot,
    shapes: [Shape; SETUPS],
    /// Gain that brings each setup to the loudness of the take, in dB; known for all, whichever is heard.
    matching_db: [f64; SETUPS],
    /// The gain that the processor was last told, in dB.
    gain_db: f64,
}

impl Engine {
    /// # Errors
    /// If the core does not process at this rate.
    pub fn new(rate_hz: f64, channels: usize, snapshot: &Snapshot) -> Result<Self, ProcessorError> {
        let mut engine = Self {
            processor: Processor::new(rate_hz, channels)?,
            predictor: LoudnessPredictor::new(rate_hz, channels),
            version: 0,
            snapshot: *snapshot,
            shapes: snapshot.shapes(),
            matching_db: [0.0; SETUPS],
            gain_db: 0.0,
        };
        engine.reset();
        Ok(engine)
    }

    /// Forgets all sound. What follows is as in a first run; parameters that change before the first frame take
    /// effect at once.
    pub fn reset(&mut self) {
        self.processor.reset();
        self.predictor.reset();
        self.predict();
        self.direct();
    }

    /// Takes note of the parameters. Changes are heard along the core's smoothstep, also those of a state that is loaded
    /// while sound runs: a preset must not click.
    pub fn set(&mut self, snapshot: &Snapshot) {
        if *snapshot == self.snapshot {
            return;
        }
        let same_circuits = snapshot.same_circuits(&self.snapshot);
        self.snapshot = *snapshot;
        if !same_circuits {
            self.shapes = snapshot.shapes();
            self.predict();
        }
        self.direct();
    }

    /// Processes one block in place. Results do not depend on how sound is cut into blocks.
    pub fn process(&mut self, block: &mut [&mut [f32]]) {
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        let mut start = 0;
        while start < frames {
            let end = frames.min(start + self.predictor.frames_to_update());
            self.predictor.push(block, start, end);
            let mut part: ArrayVec<&mut [f32], MAX_CHANNELS> =
                block.iter_mut().take(MAX_CHANNELS).map(|channel| &mut channel[start..end]).collect();
            self.processor.process(&mut part);
            self.follow();
            start = end;
        }
    }

    /// Seconds that the response rings on; infinite for an undo without ceiling.
    pub fn tail_seconds(&self) -> f64 {
        self.processor.tail_seconds()
    }

    /// Gain that brings each setup to the loudness of the take, in dB.
    #[cfg(test)]
    pub fn matching_db(&self) -> [f64; SETUPS] {
        self.matching_db
    }

    /// Computes the matching gains anew.
    fn predict(&mut self) {
        self.version = self.predictor.version();
        for (gain_db, shape) in self.matching_db.iter_mut().zip(&self.shapes) {
            let wanted_db = -self.predictor.change_lu(shape);
            // Input beyond all measure leaves no prediction; then the last one stands.
            if wanted_db.is_finite() {
                *gain_db = wanted_db.clamp(-MATCHING_DB, MATCHING_DB);
            }
        }
    }

    /// Keeps the gain with the prediction.
    fn follow(&mut self) {
        if self.predictor.version() == self.version {
            return;
        }
        self.predict();
        let (_, gain_db) = self.target();
        if (gain_db - self.gain_db).abs() > FOLLOW_DB {
            self.set_gain(gain_db, FOLLOW_MS);
        }
    }

    /// Sends the processor to what the parameters ask for.
    fn direct(&mut self) {
        let (shape, gain_db) = self.target();
        self.processor.set_shape(&shape);
        self.set_gain(gain_db, CHANGE_MS);
        // Bypass is the input, however loud; only what is not finite is kept out.
        self.processor.set_guard(self.snapshot.guard && !self.snapshot.bypass);
    }

    fn target(&self) -> (Shape, f64) {
        let now = &self.snapshot;
        match now.heard.setup() {
            _ if now.bypass => (Shape::UNCHANGED, 0.0),
            None => (Shape::UNCHANGED, now.output_db()),
            Some(setup) => {
                let matching_db = if now.level_match { self.matching_db[setup] } else { 0.0 };
                (self.shapes[setup], matching_db + now.trim_db() + now.output_db())
            }
        }
    }

    fn set_gain(&mut self, gain_db: f64, over_ms: f64) {
        self.gain_db = gain_db;
        self.processor.set_gain(10f64.powf(gain_db / 20.0), over_ms);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::{FirstjackParams, Heard};

    const RATE_HZ: f64 = 48_000.0;

    fn engine(heard: Heard) -> Engine {
        let mut snapshot = Snapshot::new(&FirstjackParams::default());
        snapshot.heard = heard;
        Engine::new(RATE_HZ, 2, &snapshot).unwrap()
    }

    /// A second of a low and a high note, as loud as `peak`.
    fn notes(peak: f32) -> Vec<f32> {
        #[expect(clippy::cast_precision_loss, reason = "a second")]
        let note = |i: usize, hz: f32| (std::f32::consts::TAU * hz * i as f32 / 48_000.0).sin();
        (0..48_000).map(|i| peak * (0.7 * note(i, 55.0) + 0.3 * note(i, 880.0))).collect()
    }

    fn run(engine: &mut Engine, sound: &[f32]) -> Vec<f32> {
        let (mut left, mut right) = (sound.to_vec(), sound.to_vec());
        engine.process(&mut [&mut left, &mut right]);
        left
    }

    /// The gains of all six are there, whichever is heard, and are those of their circuits: a higher load loses less.
    #[test]
    fn every_setup_has_its_matching_gain_whatever_is_heard() {
        let gains = [Heard::AsRecorded, Heard::Setup2].map(|heard| {
            let mut engine = engine(heard);
            run(&mut engine, &notes(0.3));
            engine.matching_db()
        });
        assert_eq!(gains[0], gains[1]);
        // 56k, 470k, 1M, 1M ∥ 470k, 470k on 6 m, 10M.
        let [passive, combo, tuner, thru, cable, buffer] = gains[0];
        assert!(passive > thru && thru > combo && combo > tuner && tuner > buffer, "{gains:?}");
        assert!(buffer > -0.1 && cable > 0.0 && passive < 40.0, "{gains:?}");
    }

    #[test]
    fn matching_gains_survive_any_input() {
        for odd in [f32::NAN, f32::INFINITY, f32::MAX, 1e20, 1e-40] {
            let mut engine = engine(Heard::Setup1);
            run(&mut engine, &vec![odd; 48_000]);
            assert!(engine.matching_db().iter().all(|db| db.abs() <= MATCHING_DB), "{odd}");
            run(&mut engine, &notes(0.3));
            assert!(engine.matching_db().iter().all(|db| db.abs() <= MATCHING_DB), "{odd}");
        }
    }

    /// Once the music is known the gain is left alone.
    #[test]
    fn the_gain_rests_while_the_music_stays_the_same() {
        let mut engine = engine(Heard::Setup1);
        for _ in 0..6 {
            run(&mut engine, &notes(0.3));
        }
        let (before, version) = (engine.gain_db, engine.version);
        run(&mut engine, &notes(0.3));
        assert!(engine.version > version);
        assert_eq!(engine.gain_db, before);
        assert!((engine.matching_db()[0] - before).abs() <= FOLLOW_DB);
    }

    /// Low notes lose more through a low load than high ones, so the gain must follow.
    #[test]
    fn the_gain_follows_the_music() {
        let mut engine = engine(Heard::Setup1);
        run(&mut engine, &notes(0.01));
        let before = engine.gain_db;
        let low: Vec<f32> = notes(0.3).iter().zip(notes(0.3)[1..].iter()).map(|(a, b)| a + b).collect();
        for _ in 0..5 {
            run(&mut engine, &low);
        }
        assert!((engine.gain_db - engine.matching_db()[0]).abs() <= FOLLOW_DB);
        assert_ne!(engine.gain_db, before);
    }

    #[test]
    fn reset_takes_parameters_in_at_once() {
        let mut engine = engine(Heard::AsRecorded);
        run(&mut engine, &notes(0.3));
        engine.reset();
        let mut snapshot = engine.snapshot;
        snapshot.heard = Heard::Setup2;
        snapshot.level_match = false;
        engine.set(&snapshot);
        let first = run(&mut engine, &notes(0.3));
        let mut other = super::Engine::new(RATE_HZ, 2, &snapshot).unwrap();
        assert_eq!(first, run(&mut other, &notes(0.3)));
    }
}
