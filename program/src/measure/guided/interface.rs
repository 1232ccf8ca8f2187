//! The audio interface: plays the sweep and records what comes back, by way of `cpal`.
//!
//! A device that was unplugged may never return from a call, so streams live on a thread of their own, which is left to itself if it does not
//! answer. Its callbacks only take samples from a queue and put samples into one; both have room for everything from the start.

mod line;
mod tape;

use std::sync::Arc;
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::{Duration, Instant};

use cpal::traits::HostTrait;
use firstjack_measure::Recording;
use firstjack_measure::sweep::Sweep;

use super::trouble::Fault;
use crate::arguments::GuidedArguments;
use crate::devices::{self, Names};
use crate::error::Failure;
use crate::interrupt;
use crate::progress::Progress;
use line::Line;
use tape::Watch;

/// How long is recorded after the sweep: what an interface may be late by.
const TAIL_SECONDS: f64 = 1.5;
/// How long nothing may be heard of the thread.
const PATIENCE: Duration = Duration::from_secs(6);
/// What is said then.
const SILENT: &str = "The interface does not answer. Is it still plugged in?";
/// How long it has to stop.
const TO_STOP: Duration = Duration::from_secs(2);

/// Where the sweep goes and where it comes back.
pub struct Interface {
    output: Line,
    input: Line,
    rate_hz: u32,
    channel: u16,
}

/// What came of one sweep.
pub struct Take {
    pub recording: Recording,
    pub dropouts: usize,
}

impl Interface {
    /// Those that are asked for, or else the system's.
    ///
    /// # Errors
    /// If there is none, it does not answer, or has no such rate or channel; or if the program is asked to end.
    pub fn new(arguments: &GuidedArguments) -> Result<Self, Failure> {
        let GuidedArguments { output, input, rate, channel, .. } = arguments;
        let (output, input, rate, channel) = (output.clone(), input.clone(), *rate, *channel);
        let found = answer(
            &Arc::default(),
            move |_| Self::find(output.as_deref(), input.as_deref(), rate, channel),
            |_| {},
        );
        found?.unwrap_or_else(|| Err(Failure::Sound(SILENT.to_owned())))
    }

    fn find(output: Option<&str>, input: Option<&str>, rate_hz: u32, channel: u16) -> Result<Self, Failure> {
        let host = devices::host().map_err(|missing| Failure::Sound(missing.to_string()))?;
        let none = |of: &str| Failure::Sound(format!("no device for {of} was found"));
        let output = match output {
            Some(wanted) => devices::named("--output", wanted, host.output_devices(), Names::AndIds)?,
            None => host.default_output_device().ok_or_else(|| none("output"))?,
        };
        let input = match input {
            Some(wanted) => devices::named("--input", wanted, host.input_devices(), Names::AndIds)?,
            None => host.default_input_device().ok_or_else(|| none("input"))?,
        };
        let (output, input) = (Line::output(output, rate_hz)?, Line::input(input, rate_hz, channel)?);
        Ok(Self { output, input, rate_hz, channel })
    }

    /// What plays and what records, as a sentence.
    pub fn description(&self) -> String {
        let Self { output, input, rate_hz, channel } = self;
        let clocks = if output.name == input.name {
            ""
        } else {
            " Two devices have two clocks: take one interface for both if you can."
        };
        let outputs = if output.channels() > 1 { "outputs 1 and 2" } else { "its output" };
        format!(
            "Plays on {outputs} of {}, records channel {channel} of {}, {rate_hz} Hz.{clocks}",
            output.name, input.name
        )
    }

    /// Plays and records one sweep.
    ///
    /// # Errors
    /// If the program is asked to end; the sound has stopped then.
    pub fn sweep(&self, level_db: f64, quiet: bool) -> Result<Result<Take, Fault>, Failure> {
        let (output, input, channel) = (self.output.clone(), self.input.clone(), self.channel);
        let rate_hz = f64::from(self.rate_hz);
        let sweep = Sweep::new(rate_hz, level_db).samples();
        let frames = sweep.len() + tail_frames(rate_hz);
        let progress = Progress::new(quiet);
        progress.expect(frames as u64);
        progress.say("sweeping");
        let mut shown = 0;
        let show = |watch: &Watch| {
            progress.advance((watch.recorded() - shown) as u64);
            shown = watch.recorded();
        };
        let run = move |watch: &Watch| tape::run(&output, &input, channel, &sweep, frames, watch);
        let taken = answer(&Arc::default(), run, show)?.unwrap_or_else(|| Err(SILENT.to_owned()));
        let take = |(samples, dropouts)| Take { recording: Recording { rate_hz, samples }, dropouts };
        Ok(taken.map(take).map_err(Fault::Sound))
    }
}

/// What a call into the system's sound comes to, made on a thread of its own; none if that does not answer, and is left to itself.
///
/// # Errors
/// If the program is asked to end.
fn answer<T: Send + 'static>(
    watch: &Arc<Watch>,
    work: impl FnOnce(&Watch) -> T + Send + 'static,
    mut each: impl FnMut(&Watch),
) -> Result<Option<T>, Failure> {
    let (done, result) = mpsc::channel();
    let watched = Arc::clone(watch);
    // Nobody listens any more if it comes too late.
    std::thread::spawn(move || done.send(work(&watched)));
    let (mut beat, mut since) = (0, Instant::now());
    loop {
        match result.recv_timeout(Duration::from_millis(50)) {
            Ok(came) => return Ok(Some(came)),
            // It panicked, and has said why.
            Err(RecvTimeoutError::Disconnected) => return Ok(None),
            Err(RecvTimeoutError::Timeout) => {}
        }
        if let Err(interrupted) = interrupt::check() {
            watch.stop();
            let _ = result.recv_timeout(TO_STOP);
            return Err(interrupted);
        }
        each(watch);
        if watch.beat() != beat {
            (beat, since) = (watch.beat(), Instant::now());
        } else if since.elapsed() > PATIENCE {
            watch.stop();
            return Ok(None);
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds of any rate")]
fn tail_frames(rate_hz: f64) -> usize {
    (TAIL_SECONDS * rate_hz).round() as usize
}
