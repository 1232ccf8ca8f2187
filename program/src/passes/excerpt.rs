//! The part of a take that is heard.

use std::f64::consts::PI;
use std::path::Path;

use crate::arguments::PartArguments;
use crate::error::Failure;
use crate::render::Take;

/// Read before the excerpt, so that filters have settled when it begins, in seconds.
const LEAD_S: f64 = 2.0;

/// How long a sound takes to come and go where the excerpt cuts into the take, in seconds.
const FADE_S: f64 = 0.01;

/// Which frames of a take are heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Excerpt {
    /// Where it begins in the take.
    from: u64,
    /// Frames that are read before it and dropped.
    lead: u64,
    pub frames: u64,
    fade: u64,
    fades_in: bool,
    fades_out: bool,
}

impl Excerpt {
    /// Reads `--from` and `--length` and leaves of the take what is needed of it. A length beyond the take's end goes to the end.
    pub fn cut(take: &mut Take, part: &PartArguments) -> Result<Self, Failure> {
        let excerpt = Self::read(take, part)?;
        take.cut(excerpt.from - excerpt.lead, excerpt.lead + excerpt.frames);
        Ok(excerpt)
    }

    /// The same without fades, and with all that comes before it played unheard: what a rendering of the whole take has there. `None` for the
    /// whole take.
    pub fn exact(take: &mut Take, part: &PartArguments) -> Result<Option<Self>, Failure> {
        if part.is_all() {
            return Ok(None);
        }
        let excerpt = Self::read(take, part)?;
        take.cut(0, excerpt.from + excerpt.frames);
        Ok(Some(Self { lead: excerpt.from, fade: 0, ..excerpt }))
    }

    fn read(take: &Take, part: &PartArguments) -> Result<Self, Failure> {
        let (rate_hz, all) = (f64::from(take.format().rate_hz), take.frames());
        let (from, wanted) = range(part, take.path(), all, rate_hz)?;
        Ok(Self {
            from,
            lead: from.min(rounded(LEAD_S * rate_hz)),
            frames: wanted.min(all - from),
            fade: rounded(FADE_S * rate_hz),
            fades_in: from > 0,
            fades_out: wanted < all - from,
        })
    }

    /// Its length, at a rate in Hz.
    pub fn seconds(self, rate_hz: u32) -> f64 {
        seconds(self.frames, rate_hz.into())
    }

    /// What makes the excerpt of blocks that are read in order.
    pub fn edges(self) -> Edges {
        Edges { excerpt: self, lead: self.lead, frame: 0 }
    }

    /// The gain at a frame of the excerpt: raised cosines where it cuts into sound.
    fn gain(&self, frame: u64) -> f64 {
        let at = |frames: u64| {
            let part = seconds(frames.min(self.fade), 1.0) / seconds(self.fade.max(1), 1.0);
            0.5 - 0.5 * (PI * part).cos()
        };
        let come = if self.fades_in { at(frame) } else { 1.0 };
        let go = if self.fades_out { at(self.frames - 1 - frame) } else { 1.0 };
        come * go
    }
}

/// Where in the excerpt the next block lies.
pub struct Edges {
    excerpt: Excerpt,
    /// Still to be dropped.
    lead: u64,
    frame: u64,
}

impl Edges {
    /// Drops what lies before the excerpt, and fades where it cuts.
    pub fn apply(&mut self, channels: &mut [Vec<f64>]) {
        let frames = channels.first().map_or(0, Vec::len);
        let drop = usize::try_from(self.lead).unwrap_or(usize::MAX).min(frames);
        self.lead -= drop as u64;
        for channel in channels.iter_mut() {
            channel.drain(..drop);
        }
        let kept = (frames - drop) as u64;
        let edge = |frame: u64| frame < self.excerpt.fade || frame + self.excerpt.fade >= self.excerpt.frames;
        for (index, frame) in (self.frame..self.frame + kept).enumerate().filter(|(_, frame)| edge(*frame)) {
            let gain = self.excerpt.gain(frame);
            channels.iter_mut().for_each(|channel| channel[index] *= gain);
        }
        self.frame += kept;
    }
}

/// Of a take of `all` frames the first of `--from`, and how many `--length` asks for, be they there or not.
pub fn range(part: &PartArguments, take: &Path, all: u64, rate_hz: f64) -> Result<(u64, u64), Failure> {
    let from = frames("--from", &part.from, rate_hz)?;
    if all == 0 {
        let problem = "there is no sound in it; accepted are takes with at least one frame";
        return Err(Failure::input(take, problem));
    }
    if from >= all {
        return Err(Failure::Usage(format!(
            "--from: it lies behind the end of the take: accepted is less than {:.3} s",
            seconds(all, rate_hz)
        )));
    }
    let wanted = part.length.as_ref().map_or(Ok(all), |text| frames("--length", text, rate_hz))?;
    if wanted == 0 {
        return Err(Failure::Usage("--length: accepted is more than 0 s".to_owned()));
    }
    Ok((from, wanted))
}

/// A time as frames.
fn frames(option: &str, text: &str, rate_hz: f64) -> Result<u64, Failure> {
    time(option, text).map(|seconds| rounded(seconds * rate_hz))
}

/// A time in seconds, from `30`, `12.5 s` or `1:02.5`.
pub fn time(option: &str, text: &str) -> Result<f64, Failure> {
    let refuse = || {
        let accepted = "accepted are seconds (30, 12.5) or minutes and seconds (1:02.5), up to a day";
        Failure::Usage(format!("{option}: cannot read '{text}': {accepted}"))
    };
    let (minutes, rest) = match text.trim().split_once(':') {
        Some((minutes, rest)) => (minutes.parse::<u32>().map_err(|_| refuse())?, rest),
        None => (0, text),
    };
    let number = crate::arguments::number_of(rest, "s").filter(|number| (0.0..=86_400.0).contains(number));
    let seconds = number.ok_or_else(refuse)? + 60.0 * f64::from(minutes);
    if seconds > 86_400.0 { Err(refuse()) } else { Ok(seconds) }
}

/// The nearest frame.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "at most a day at 384 kHz, not negative"
)]
pub fn rounded(frames: f64) -> u64 {
    frames.round() as u64
}

/// Frames as seconds.
#[expect(clippy::cast_precision_loss, reason = "frames of a file of less than 2^53 bytes")]
pub fn seconds(frames: u64, rate_hz: f64) -> f64 {
    frames as f64 / rate_hz
}
