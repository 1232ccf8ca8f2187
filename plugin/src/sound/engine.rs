//! The signal path of one instance: follows the parameters, the circuit and the predicted loudness. Nothing here allocates
//! once it is made.
//!
//! Two pickups have a track each, left the first and right the second, and each channel has its shape; the channels of one pickup
//! share theirs. There is a path for either, and a state that is loaded may lead from one to the
//! other: then one fades into the other, which begins anew, as after a reset. Both know the same of the music.

use arrayvec::ArrayVec;
use dsp_core::processor::{GuardStatus, Processor, ProcessorError};
use dsp_core::response::Shape;

use crate::sound::circuit::Circuit;
use crate::sound::music::Music;
use crate::sound::path::Path;
use crate::sound::snapshot::{MAX_TRACKS, Shapes, Snapshot};
use crate::sound::telemetry::Teller;
use crate::sound::{MAX_CHANNELS, SETUPS};

/// Frames that both paths process at once while one fades into the other.
const CHUNK: usize = 64;

pub(crate) struct Engine {
    /// All channels have the shape of the only track, or of the first.
    together: Path,
    /// A track on each channel; the mono layout has none.
    apart: Option<Path>,
    fade: Fade,
    snapshot: Snapshot,
    /// What each setup does, once it has been heard since it changed.
    shapes: [Option<Shapes>; SETUPS],
    /// Until the first frame after a reset, changes take effect at once.
    fresh: bool,
    /// Parameters have moved while a change was under way, and wait for its end: what they come to is made once then, however densely
    /// they are automated.
    waits: bool,
    /// What was asked for cannot be played: what was heard before goes on.
    refused: bool,
    /// Nothing is learned: what is written to a file is what was heard.
    offline: bool,
    /// Whether the gains have moved since that was last asked.
    has_learned: bool,
}

impl Engine {
    /// # Errors
    /// If the core does not process at this rate.
    pub fn new(
        rate_hz: f64,
        channels: usize,
        snapshot: &Snapshot,
        circuit: &Circuit,
    ) -> Result<Self, ProcessorError> {
        let apart = if channels == MAX_TRACKS { Some(Path::apart(rate_hz)?) } else { None };
        let mut engine = Self {
            together: Path::together(rate_hz, channels)?,
            apart,
            fade: Fade::new(rate_hz),
            snapshot: *snapshot,
            shapes: Default::default(),
            fresh: true,
            waits: false,
            refused: false,
            offline: false,
            has_learned: false,
        };
        engine.know(&Music::unknown(), circuit);
        engine.reset(circuit);
        Ok(engine)
    }

    /// Whether the host writes a file. Then all gains rest.
    pub const fn set_offline(&mut self, offline: bool) {
        self.offline = offline;
    }

    /// Takes what is known of the music, of a state that was loaded or of an earlier run; of none, the circuit's guess is used.
    pub fn know(&mut self, music: &Music, circuit: &Circuit) {
        self.together.matching.know(music, circuit.usual());
        self.apart.iter_mut().for_each(|path| path.matching.know(music, circuit.usual()));
        self.direct(circuit);
    }

    /// What the gains are made for, if they have moved since this was last asked.
    pub fn news(&mut self) -> Option<&Music> {
        std::mem::take(&mut self.has_learned).then(|| self.path().matching.music())
    }

    /// Forgets all sound. What follows is as in a first run that knows the same of the music.
    pub fn reset(&mut self, circuit: &Circuit) {
        self.together.reset();
        self.apart.iter_mut().for_each(Path::reset);
        self.fresh = true;
        self.lead(circuit);
        self.direct(circuit);
    }

    /// Takes note of the parameters, and of the circuit if it is a new one. Changes are heard along the core's smoothstep, also
    /// those of a state that is loaded while sound runs: a preset must not click.
    pub fn set(&mut self, snapshot: &Snapshot, circuit: &Circuit, is_new: bool) {
        if !is_new && *snapshot == self.snapshot {
            return;
        }
        for (setup, shapes) in self.shapes.iter_mut().enumerate() {
            if is_new || !snapshot.same_shapes(&self.snapshot, setup) {
                *shapes = None;
            }
        }
        self.snapshot = *snapshot;
        if is_new {
            self.together.matching.guess(circuit.usual());
            self.apart.iter_mut().for_each(|path| path.matching.guess(circuit.usual()));
            self.lead(circuit);
        }
        self.direct(circuit);
    }

    /// Processes one block in place. Results do not depend on how sound is cut into blocks.
    pub fn process(&mut self, block: &mut [&mut [f32]], circuit: &Circuit) {
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        let mut start = 0;
        // What rests need not listen.
        let is_held = self.is_held();
        while start < frames {
            self.fresh = false;
            let to_news = if is_held { frames } else { self.path().matching.frames_to_news() };
            let to_landing = self.path().frames_left().filter(|_| self.waits).unwrap_or(frames);
            let end = frames.min(start + to_news.min(to_landing));
            let mut part: ArrayVec<&mut [f32], MAX_CHANNELS> =
                block.iter_mut().take(MAX_CHANNELS).map(|channel| &mut channel[start..end]).collect();
            if !is_held {
                self.path().matching.listen(&mut part);
            }
            self.run(&mut part);
            if !is_held && self.learn(circuit) {
                let (_, gain_db) = self.target(circuit);
                self.refused |= self.path().follow(gain_db).is_err();
            }
            if self.waits {
                self.direct(circuit);
            }
            start = end;
        }
    }

    /// Whether the matching gains are to stay as they are.
    pub const fn is_held(&self) -> bool {
        self.offline || self.snapshot.hold
    }

    /// True if the gains have moved.
    fn learn(&mut self, circuit: &Circuit) -> bool {
        let (snapshot, shapes) = (&self.snapshot, &mut self.shapes);
        let path = match &mut self.apart {
            Some(apart) if self.fade.to_apart => apart,
            _ => &mut self.together,
        };
        let made =
            |setup: usize| shapes[setup].get_or_insert_with(|| snapshot.shapes(circuit, setup)).clone();
        let has_moved = path.matching.learn(made);
        self.has_learned |= has_moved;
        has_moved
    }

    /// The same, and tells an open window of it: the sound, how the guard is, and of the six matching gains one in turn, so that
    /// what is not heard costs little.
    pub fn process_and_tell(&mut self, block: &mut [&mut [f32]], circuit: &Circuit, teller: &mut Teller) {
        teller.input(block);
        self.process(block, circuit);
        teller.output(block);
        if !teller.is_open() {
            return;
        }
        teller.guard(self.guard_status());
        teller.refused(self.refused);
        teller.held(self.is_held());
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        if let Some(setup) = teller.setup_due(frames) {
            let shapes = self.shapes(setup, circuit);
            let matching = &self.path().matching;
            teller.matching_db(setup, matching.gain_db(&shapes));
            teller.learned_seconds(matching.music().seconds);
        }
    }

    /// Of both paths: the one that fades out may still be heard.
    fn guard_status(&self) -> GuardStatus {
        let all = std::iter::once(&self.together).chain(&self.apart).map(Path::guard_status);
        all.fold(GuardStatus::default(), |all, one| GuardStatus {
            active: all.active || one.active,
            closures: all.closures + one.closures,
            first_frame: None,
            cause: all.cause.or(one.cause),
        })
    }

    /// Seconds that the response rings on; infinite for an undo without ceiling.
    pub fn tail_seconds(&mut self) -> f64 {
        self.path().tail_seconds()
    }

    /// The path that is heard, or is about to be.
    fn path(&mut self) -> &mut Path {
        match &mut self.apart {
            Some(apart) if self.fade.to_apart => apart,
            _ => &mut self.together,
        }
    }

    /// Leads sound to the path for as many tracks as there are.
    fn lead(&mut self, circuit: &Circuit) {
        let to_apart = circuit.tracks() == MAX_TRACKS && self.apart.is_some();
        if to_apart != self.fade.to_apart {
            let idle = !self.fade.is_moving();
            self.fade.to_apart = to_apart;
            if idle {
                self.path().reset();
            }
        }
        if self.fresh {
            self.fade.land();
        }
    }

    /// Sends the path to what the parameters ask for.
    fn direct(&mut self, circuit: &Circuit) {
        self.waits = self.path().frames_left().is_some();
        if self.waits {
            return;
        }
        let (shapes, gain_db) = self.target(circuit);
        // Bypass is the input, however loud; only what is not finite is kept out.
        let guard = self.snapshot.guard && !self.snapshot.bypass;
        self.refused = self.path().change(&shapes, gain_db, guard).is_err();
    }

    fn target(&mut self, circuit: &Circuit) -> (Shapes, f64) {
        let now = self.snapshot;
        let unchanged = || Shapes::from([Shape::UNCHANGED; MAX_TRACKS]);
        match now.heard {
            _ if now.bypass => (unchanged(), 0.0),
            None => (unchanged(), now.output_db()),
            Some(setup) => {
                let shapes = self.shapes(setup, circuit);
                let matching_db = if now.level_match { self.path().matching.gain_db(&shapes) } else { 0.0 };
                (shapes, matching_db + now.trim_db() + now.output_db())
            }
        }
    }

    /// Made when a setup is heard: while a parameter moves that all setups share, five of six are not.
    fn shapes(&mut self, setup: usize, circuit: &Circuit) -> Shapes {
        self.shapes[setup].get_or_insert_with(|| self.snapshot.shapes(circuit, setup)).clone()
    }

    fn run(&mut self, block: &mut [&mut [f32]]) {
        let Some(apart) = self.apart.as_mut().filter(|_| self.fade.is_moving()) else {
            return self.path().process(block);
        };
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        for start in (0..frames).step_by(CHUNK) {
            let end = frames.min(start + CHUNK);
            let mut part: ArrayVec<&mut [f32], MAX_CHANNELS> =
                block.iter_mut().map(|channel| &mut channel[start..end]).collect();
            let mut copy = [[0.0; CHUNK]; MAX_CHANNELS];
            let mut other: ArrayVec<&mut [f32], MAX_CHANNELS> =
                copy.iter_mut().map(|channel| &mut channel[..end - start]).collect();
            other.iter_mut().zip(&part).for_each(|(to, from)| to.copy_from_slice(from));
            self.together.process(&mut part);
            apart.process(&mut other);
            for frame in 0..end - start {
                let weight = self.fade.step();
                for (together, apart) in part.iter_mut().zip(&other) {
                    together[frame] = mix(together[frame], apart[frame], weight);
                }
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
fn mix(together: f32, apart: f32, weight: f64) -> f32 {
    ((1.0 - weight) * f64::from(together) + weight * f64::from(apart)) as f32
}

/// The way from one path to the other. Like a filter of another structure in the core, the one that comes in runs unheard for
/// the length of a change before it fades in; the one that goes out runs on for as long, ready to come back.
struct Fade {
    /// Where it goes.
    to_apart: bool,
    /// In lengths of a change, from zero, together at rest, to three, apart at rest; between one and two both are heard.
    position: f64,
    step: f64,
}

impl Fade {
    fn new(rate_hz: f64) -> Self {
        Self { to_apart: false, position: 0.0, step: 1e3 / (Processor::CHANGE_MS * rate_hz) }
    }

    fn end(&self) -> f64 {
        if self.to_apart { 3.0 } else { 0.0 }
    }

    fn is_moving(&self) -> bool {
        self.position != self.end()
    }

    fn land(&mut self) {
        self.position = self.end();
    }

    /// The weight of the path apart in the next frame.
    fn step(&mut self) -> f64 {
        let step = if self.to_apart { self.step } else { -self.step };
        self.position = (self.position + step).clamp(0.0, 3.0);
        // Smoothstep.
        let heard = (self.position - 1.0).clamp(0.0, 1.0);
        heard * heard * (3.0 - 2.0 * heard)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::host::preset;
    use crate::sound::matching::MATCHING_DB;

    const RATE_HZ: f64 = 48_000.0;

    struct Running {
        engine: Engine,
        circuit: Circuit,
    }

    fn running(heard: Option<usize>) -> Running {
        let mut snapshot = Snapshot::with_values(preset::read(preset::COURTYARD).unwrap().1);
        snapshot.heard = heard;
        let (circuit, _) = preset::read(preset::COURTYARD).unwrap();
        Running { engine: Engine::new(RATE_HZ, 2, &snapshot, &circuit).unwrap(), circuit }
    }

    impl Running {
        fn run(&mut self, sound: &[f32]) -> Vec<f32> {
            let (mut left, mut right) = (sound.to_vec(), sound.to_vec());
            self.engine.process(&mut [&mut left, &mut right], &self.circuit);
            left
        }

        /// Of all setups.
        fn matching_db(&mut self) -> [f64; SETUPS] {
            std::array::from_fn(|setup| {
                let shapes = self.engine.shapes(setup, &self.circuit);
                self.engine.path().matching.gain_db(&shapes)
            })
        }

        fn gain_db(&mut self) -> f64 {
            self.engine.path().gain_db()
        }
    }

    /// A second of a low and a high note, as loud as `peak`.
    fn notes(peak: f32) -> Vec<f32> {
        #[expect(clippy::cast_precision_loss, reason = "a second")]
        let note = |i: usize, hz: f32| (std::f32::consts::TAU * hz * i as f32 / 48_000.0).sin();
        (0..48_000).map(|i| peak * (0.7 * note(i, 55.0) + 0.3 * note(i, 880.0))).collect()
    }

    /// The gains of all six are there, whichever is heard, and are those of their circuits: a higher load loses less.
    #[test]
    fn every_setup_has_its_matching_gain_whatever_is_heard() {
        let gains = [None, Some(1)].map(|heard| {
            let mut running = running(heard);
            running.run(&notes(0.3));
            running.matching_db()
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
            let mut running = running(Some(0));
            running.run(&vec![odd; 48_000]);
            assert!(running.matching_db().iter().all(|db| db.abs() <= MATCHING_DB), "{odd}");
            running.run(&notes(0.3));
            assert!(running.matching_db().iter().all(|db| db.abs() <= MATCHING_DB), "{odd}");
        }
    }

    /// Once the music is known the gain is left alone.
    #[test]
    fn the_gain_rests_while_the_music_stays_the_same() {
        let mut running = running(Some(0));
        for _ in 0..6 {
            running.run(&notes(0.3));
        }
        let (before, news) = (running.gain_db(), running.engine.path().matching.frames_to_news());
        running.run(&notes(0.3));
        assert!(news < 48_000);
        assert_eq!(running.gain_db(), before);
        assert!((running.matching_db()[0] - before).abs() <= 0.05);
    }

    /// Low notes lose more through a low load than high ones, so the gain must follow.
    #[test]
    fn the_gain_follows_the_music() {
        let mut running = running(Some(0));
        running.run(&notes(0.01));
        let before = running.gain_db();
        let low: Vec<f32> = notes(0.3).iter().zip(notes(0.3)[1..].iter()).map(|(a, b)| a + b).collect();
        for _ in 0..5 {
            running.run(&low);
        }
        assert!((running.gain_db() - running.matching_db()[0]).abs() <= 0.05);
        assert_ne!(running.gain_db(), before);
    }

    #[test]
    fn reset_takes_parameters_in_at_once() {
        let mut running = running(None);
        running.run(&notes(0.3));
        running.engine.reset(&running.circuit);
        let mut snapshot = running.engine.snapshot;
        snapshot.heard = Some(1);
        snapshot.level_match = false;
        running.engine.set(&snapshot, &running.circuit, false);
        let first = running.run(&notes(0.3));
        let (circuit, _) = preset::read(preset::COURTYARD).unwrap();
        let engine = Engine::new(RATE_HZ, 2, &snapshot, &circuit).unwrap();
        assert_eq!(first, Running { engine, circuit }.run(&notes(0.3)));
    }

    /// A sweep of what all setups share makes only what is heard anew.
    #[test]
    fn only_what_is_heard_is_made() {
        let mut running = running(Some(2));
        let made = |engine: &Engine| engine.shapes.each_ref().map(Option::is_some);
        assert_eq!(made(&running.engine), [false, false, true, false, false, false]);
        let mut snapshot = running.engine.snapshot;
        snapshot.heard = Some(0);
        running.engine.set(&snapshot, &running.circuit, false);
        assert_eq!(made(&running.engine), [true, false, true, false, false, false]);
        running.engine.set(&snapshot, &running.circuit, true);
        assert_eq!(made(&running.engine), [true, false, false, false, false, false]);
    }
}
