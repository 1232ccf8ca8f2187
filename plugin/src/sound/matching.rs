//! The gains that bring every setup to the loudness of the take: what music they are made for, and when they move.
//!
//! They follow from one spectrum of the music, so that a setup that changes has its new gain at once. The spectrum in use is a guess,
//! what plucked strings of the instrument usually sound like, until three seconds of music have been heard; then it is what has been
//! learned. From there it rests until sound says something new, in either of two ways:
//!
//! - Some setup's gain has been off what all music so far asks for, by more than 0.1 dB (0.2 dB once ten seconds are known), for two
//!   seconds: the spectrum becomes that of all music so far.
//! - It has been off what the last four seconds ask for, by more than 3 dB, for eight seconds, and they are no pause: this is other
//!   music, and learning begins anew with them.
//!
//! Seconds are those of music: silence (the gates of ITU-R BS.1770) decides nothing.

use dsp_core::loudness::{LoudnessPredictor, Spectrum};

use crate::sound::SETUPS;
use crate::sound::music::Music;
use crate::sound::snapshot::Shapes;

/// No matching gain is larger, up or down.
pub(crate) const MATCHING_DB: f64 = 40.0;

/// So much music makes a guess something learned.
const FIRST_SECONDS: f64 = 3.0;
/// From so much on it is known well.
const KNOWN_SECONDS: f64 = 10.0;
/// How far off a gain may be while the music is learned, and once it is known.
const LEARNING_DB: f64 = 0.1;
const KNOWN_DB: f64 = 0.2;
const OFF_SECONDS: f64 = 2.0;
/// What is further off for longer is other music, unless it is so far below that it is a pause.
const OTHER_DB: f64 = 3.0;
const OTHER_SECONDS: f64 = 8.0;
const PAUSE_LU: f64 = 20.0;

/// Of one path.
pub(crate) struct Matching {
    predictor: LoudnessPredictor,
    /// The prediction that was last looked at.
    version: u64,
    /// What the gains are made for: as many tracks as the predictor has.
    in_use: Music,
    /// For how long each setup's gain has been off, against all music and against the last seconds.
    off_seconds: [f64; SETUPS],
    other_seconds: [f64; SETUPS],
    /// The setup that is looked at next: one at a time costs little.
    turn: usize,
}

impl Matching {
    /// With a guess of silence, which asks for no gain.
    pub fn new(predictor: LoudnessPredictor) -> Self {
        let in_use = Music::guess(Spectrum::SILENT, predictor.learned().len());
        Self {
            predictor,
            version: 0,
            in_use,
            off_seconds: [0.0; SETUPS],
            other_seconds: [0.0; SETUPS],
            turn: 0,
        }
    }

    /// Forgets the last seconds, not what it knows of the music.
    pub fn reset(&mut self) {
        self.predictor.reset();
        self.version = self.predictor.version();
        self.rest();
    }

    /// Takes what is known, or a guess where that has other tracks.
    pub fn know(&mut self, music: &Music, usual: &Spectrum) {
        let tracks = self.predictor.learned().len();
        let fits = music.is_learned() && music.tracks.len() == tracks;
        self.in_use = if fits { music.clone() } else { Music::guess(*usual, tracks) };
        self.predictor.learn_from(&music.tracks, if fits { music.seconds } else { 0.0 });
        self.rest();
    }

    /// Takes another guess, where nothing has been learned.
    pub fn guess(&mut self, usual: &Spectrum) {
        if !self.in_use.is_learned() {
            self.in_use = Music::guess(*usual, self.in_use.tracks.len());
        }
    }

    /// What the gains are made for.
    pub const fn music(&self) -> &Music {
        &self.in_use
    }

    /// The gain that brings a setup to the loudness of the take, in dB.
    pub fn gain_db(&self, shapes: &Shapes) -> f64 {
        gain_db(&self.in_use.tracks, shapes)
    }

    /// Frames until there can be something new.
    pub fn frames_to_news(&self) -> usize {
        self.predictor.frames_to_update()
    }

    /// Lets the predictor hear input.
    pub fn listen(&mut self, block: &mut [&mut [f32]]) {
        let frames = block.iter().map(|channel| channel.len()).min().unwrap_or(0);
        self.predictor.push(block, 0, frames);
    }

    /// Looks at one setup, given what makes its shapes, where there is something new. True if the gains have moved.
    pub fn learn(&mut self, shapes: impl FnOnce(usize) -> Shapes) -> bool {
        let version = self.predictor.version();
        if std::mem::replace(&mut self.version, version) == version
            || self.predictor.learned_seconds() < FIRST_SECONDS
        {
            return false;
        }
        let setup = self.turn;
        self.turn = (setup + 1) % SETUPS;
        let shapes = shapes(setup);
        if self.is_other(setup, &shapes) {
            self.predictor.learn_anew();
            self.rest();
        } else if !self.is_off(setup, &shapes) {
            return false;
        }
        self.in_use = Music::learned(self.predictor.learned(), self.predictor.learned_seconds());
        self.off_seconds = [0.0; SETUPS];
        true
    }

    /// Whether the last seconds have long been of other music.
    fn is_other(&mut self, setup: usize, shapes: &Shapes) -> bool {
        let (recent_lufs, learned_lufs) = self.predictor.lufs();
        let recent_lu = match shapes.as_slice() {
            [shape] => self.predictor.change_lu(shape),
            [first, _] if self.in_use.tracks.len() == 1 => self.predictor.change_lu(first),
            shapes => self.predictor.change_apart_lu(shapes),
        };
        let off_db = (within(-recent_lu) - self.gain_db(shapes)).abs();
        let is_other = off_db > OTHER_DB && recent_lufs > learned_lufs - PAUSE_LU;
        self.other_seconds[setup] = self.count(is_other, self.other_seconds[setup]);
        self.other_seconds[setup] > OTHER_SECONDS
    }

    /// Whether the gain has long been off what all music asks for; a guess is at once.
    fn is_off(&mut self, setup: usize, shapes: &Shapes) -> bool {
        let most_db = if self.predictor.learned_seconds() < KNOWN_SECONDS { LEARNING_DB } else { KNOWN_DB };
        let off_db = (gain_db(self.predictor.learned(), shapes) - self.gain_db(shapes)).abs();
        self.off_seconds[setup] = self.count(off_db > most_db, self.off_seconds[setup]);
        self.off_seconds[setup] > OFF_SECONDS || !self.in_use.is_learned()
    }

    /// For how long something has been so: a setup has its turn once in six spectra.
    fn count(&self, is_so: bool, seconds: f64) -> f64 {
        let between: f64 = [self.predictor.hop_seconds(); SETUPS].iter().sum();
        if is_so { seconds + between } else { 0.0 }
    }

    fn rest(&mut self) {
        (self.off_seconds, self.other_seconds) = ([0.0; SETUPS], [0.0; SETUPS]);
    }
}

/// The gain that makes up for what shapes do to the loudness of music, in dB.
fn gain_db(tracks: &[Spectrum], shapes: &Shapes) -> f64 {
    within(-Spectrum::change_lu(tracks.iter().zip(shapes)))
}

/// A shape that takes all, or gives without end, leaves the largest gain.
fn within(db: f64) -> f64 {
    if db.is_nan() { 0.0 } else { db.clamp(-MATCHING_DB, MATCHING_DB) }
}
