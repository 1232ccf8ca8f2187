//! One sweep on the thread that holds the streams.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use cpal::ErrorKind;
use cpal::traits::StreamTrait;
use rtrb::{Consumer, Producer, RingBuffer};

use super::line::Line;

/// How long a device may neither take nor deliver sound.
const STALLED: Duration = Duration::from_secs(3);

/// What the two threads know of each other.
#[derive(Debug, Default)]
pub struct Watch {
    stop: AtomicBool,
    beats: AtomicUsize,
    recorded: AtomicUsize,
}

impl Watch {
    /// Asks for silence.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// Another number whenever the thread was seen to be alive.
    pub fn beat(&self) -> usize {
        self.beats.load(Ordering::Relaxed)
    }

    /// Frames so far.
    pub fn recorded(&self) -> usize {
        self.recorded.load(Ordering::Relaxed)
    }
}

/// Plays a sweep and records so many frames; gives them and how often sound was lost.
///
/// # Errors
/// If a device fails, stops, or is asked to stop: a sentence.
pub fn run(
    output: &Line,
    input: &Line,
    channel: u16,
    sweep: &[f64],
    frames: usize,
    watch: &Watch,
) -> Result<(Vec<f64>, usize), String> {
    let (to_play, played) = loaded(sweep);
    let (recorded, mut heard) = RingBuffer::<f32>::new(frames);
    let (told, problems) = mpsc::sync_channel(64);
    let record = input.record(channel, recorded, told.clone()).map_err(|error| input.failed(&error))?;
    let play = output.play(played, told).map_err(|error| output.failed(&error))?;
    record.play().map_err(|error| input.failed(&error))?;

    let (mut samples, mut dropouts) = (Vec::with_capacity(frames), 0);
    let (mut progress, mut since) = ((0, 0), Instant::now());
    let mut plays = false;
    while samples.len() < frames || to_play.slots() < sweep.len() {
        std::thread::sleep(Duration::from_millis(10));
        // Nothing of the sweep is lost while the input still starts.
        if !plays && !heard.is_empty() {
            play.play().map_err(|error| output.failed(&error))?;
            plays = true;
        }
        collect(&mut heard, &mut samples);
        watch.recorded.store(samples.len(), Ordering::Relaxed);
        watch.beats.fetch_add(1, Ordering::Relaxed);
        if watch.stop.load(Ordering::Relaxed) {
            return Err("It was stopped.".to_owned());
        }
        dropouts += lost(&problems)?;
        let now = (samples.len(), to_play.slots());
        if now != progress {
            (progress, since) = (now, Instant::now());
        } else if since.elapsed() > STALLED {
            let silent = samples.len() < frames;
            return Err(if silent { input.stalled("delivers") } else { output.stalled("takes") });
        }
    }
    dropouts += lost(&problems)?;
    Ok((samples, dropouts))
}

/// A tape with all of the sweep on it.
fn loaded(sweep: &[f64]) -> (Producer<f32>, Consumer<f32>) {
    let (mut to_play, played) = RingBuffer::new(sweep.len());
    #[expect(clippy::cast_possible_truncation, reason = "what devices take")]
    sweep.iter().for_each(|sample| {
        let _ = to_play.push(*sample as f32);
    });
    (to_play, played)
}

/// Takes what there is.
fn collect(heard: &mut Consumer<f32>, samples: &mut Vec<f64>) {
    if let Ok(chunk) = heard.read_chunk(heard.slots()) {
        samples.extend(chunk.into_iter().map(f64::from));
    }
}

/// How often sound was lost since it was last asked.
fn lost(problems: &mpsc::Receiver<cpal::Error>) -> Result<usize, String> {
    let mut lost = 0;
    for problem in problems.try_iter() {
        match problem.kind() {
            ErrorKind::Xrun => lost += 1,
            // Sound goes on, and a late thread is heard of as lost sound.
            ErrorKind::RealtimeDenied | ErrorKind::DeviceChanged => {}
            _ => return Err(format!("The interface failed: {}.", problem.to_string().trim_end_matches('.'))),
        }
    }
    Ok(lost)
}
