//! The same of sound that goes on: what its last two minutes tell.

use std::collections::VecDeque;

use super::Heard;
use super::floor::{self, Band};
use super::frames::{Frame, Frames, to_f64};
use super::music::{Ears, Gathered, Moment};
use super::quietest::{MOST, SILENT};
use super::taken::{Quiet, of_frames};

/// Listens for as long as anybody likes, to one track, and may be asked at any time. As [`super::NoiseMeter`] of a take of two minutes; what is older is
/// forgotten, so that hum that was turned off is.
pub struct NoiseListener {
    frames: Frames,
    bands: Vec<Band>,
    ears: Ears,
    /// The oldest first.
    lately: VecDeque<Part>,
}

/// What is kept of one frame.
struct Part {
    moment: Moment,
    sounds: bool,
    /// Where nothing of it was cut off.
    whole: Option<Frame>,
}

impl NoiseListener {
    /// At a rate in Hz on strings of these frequencies in Hz.
    pub fn new(rate_hz: f64, strings_hz: &[f64]) -> Self {
        let frames = Frames::new(rate_hz);
        let (bands, ears) = (floor::bands(&frames), Ears::new(&frames, strings_hz));
        Self { frames, bands, ears, lately: VecDeque::new() }
    }

    /// Takes the next samples of all channels, of one length; what is not a number counts as silence.
    pub fn add<'a>(&mut self, channels: impl IntoIterator<Item = &'a [f64]>) {
        self.frames.add(channels);
        while let Some(frame) = self.frames.next() {
            if self.lately.len() == MOST {
                self.lately.pop_front();
            }
            let (moment, sounds) = (self.ears.moment(&frame), frame.sounds);
            let whole = (sounds && frame.whole).then(|| frame.kept(&self.bands));
            self.lately.push_back(Part { moment, sounds, whole });
        }
    }

    /// What comes next does not follow on what came. Exact zeros before and behind are no part of what is heard.
    pub fn interrupt(&mut self) {
        self.frames.interrupt();
        while self.lately.back().is_some_and(|part| !part.sounds) {
            self.lately.pop_back();
        }
    }

    /// How much is remembered, in seconds.
    pub fn seconds(&self) -> f64 {
        to_f64(self.lately.len()) * self.frames.hop_seconds()
    }

    /// What has been heard so far.
    pub fn heard(&self) -> Heard {
        let noise = self.noise();
        let mut music = Gathered::new(&self.ears);
        self.lately.iter().for_each(|part| music.add(&part.moment));
        Heard { music: music.finish(&self.ears, noise.noise()), noise }
    }

    fn noise(&self) -> Quiet {
        let sounding = self.lately.iter().rposition(|part| part.sounds).unwrap_or(0);
        let silent = self.lately.iter().take(sounding).filter(|part| !part.sounds).count();
        if silent >= SILENT {
            return Quiet::Silence;
        }
        let whole: Vec<&Frame> = self.lately.iter().filter_map(|part| part.whole.as_ref()).collect();
        of_frames(&self.frames, &self.bands, &whole, false)
    }
}
