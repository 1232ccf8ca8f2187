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
use crate::error::Failure;
use crate::progress::Progress;
use crate::{devices, interrupt};
use line::Line;
use tape::Watch;

/// How long is recorded after the sweep: what an interface may be late by.
const TAIL_SECONDS: f64 = 1.5;
/// How long nothing may be heard of the thread.
const PATIENCE: Duration = Duration::from_secs(6);
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
    /// If there is none, it does not answer, or has no such rate or channel.
    pub fn new(arguments: &GuidedArguments) -> Result<Self, Failure> {
        let host = cpal::default_host();
        let none = |of: &str| Failure::Sound(format!("no device for {of} was found"));
        let output = match &arguments.output {
            Some(wanted) => devices::named("--output", wanted, host.output_devices(), devices::Names::AndIds)?,
            None => host.default_output_device().ok_or_else(|| none("output"))?,
        };
        let input = match &arguments.input {
            Some(wanted) => devices::named("--input", wanted, host.input_devices(), devices::Names::AndIds)?,
            None => host.default_input_device().ok_or_else(|| none("input"))?,
        };
        let (rate_hz, channel) = (arguments.rate, arguments.channel);
        Ok(Self {
            output: Line::output(output, rate_hz)?,
            input: Line::input(input, rate_hz, channel)?,
            rate_hz,
            channel,
        })
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
        let watch = Arc::new(Watch::default());
        let (done, result) = mpsc::channel();
        let (output, input, rate_hz, channel) =
            (self.output.clone(), self.input.clone(), f64::from(self.rate_hz), self.channel);
        let watched = Arc::clone(&watch);
        let started = std::thread::Builder::new().name("firstjack sweep".to_owned()).spawn(move || {
            let sweep = Sweep::new(rate_hz, level_db).samples();
            let frames = sweep.len() + tail_frames(rate_hz);
            let taken = tape::run(&output, &input, channel, &sweep, frames, &watched);
            // Nobody listens any more if it came too late.
            let _ = done.send(taken.map(|(samples, dropouts)| Take {
                recording: Recording { rate_hz, samples },
                dropouts,
            }));
        });
        if let Err(error) = started {
            return Ok(Err(Fault::Sound(format!("The system starts no thread for sound: {error}."))));
        }
        let all = Sweep::new(rate_hz, level_db).samples().len() + tail_frames(rate_hz);
        wait(&watch, &result, all, quiet).map(|taken| taken.map_err(Fault::Sound))
    }
}

/// Waits for the thread as long as it goes on.
fn wait(
    watch: &Watch,
    result: &mpsc::Receiver<Result<Take, String>>,
    frames: usize,
    quiet: bool,
) -> Result<Result<Take, String>, Failure> {
    let progress = Progress::new(quiet);
    progress.expect(frames as u64);
    progress.say("sweeping");
    let (mut shown, mut beat, mut since) = (0, 0, Instant::now());
    loop {
        match result.recv_timeout(Duration::from_millis(50)) {
            Ok(taken) => return Ok(taken),
            Err(RecvTimeoutError::Disconnected) => {
                return Ok(Err("The system's sound has failed; the reason is above.".to_owned()));
            }
            Err(RecvTimeoutError::Timeout) => {}
        }
        if let Err(interrupted) = interrupt::check() {
            watch.stop();
            let _ = result.recv_timeout(TO_STOP);
            return Err(interrupted);
        }
        let recorded = watch.recorded();
        progress.advance((recorded - shown) as u64);
        shown = recorded;
        if watch.beat() != beat {
            (beat, since) = (watch.beat(), Instant::now());
        } else if since.elapsed() > PATIENCE {
            watch.stop();
            return Ok(Err("The interface does not answer. Is it still plugged in?".to_owned()));
        }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds of any rate")]
fn tail_frames(rate_hz: f64) -> usize {
    (TAIL_SECONDS * rate_hz).round() as usize
}
