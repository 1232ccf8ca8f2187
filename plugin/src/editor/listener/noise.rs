//! What the noise that comes in allows an undo: found from the input of the last two minutes, on a thread of the window's, which is there from when it
//! is first asked to when the window closes.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{Builder, JoinHandle};
use std::time::{Duration, Instant};

use firstjack_measure::noise::{Heard, NoiseListener};

use crate::editor::{Allowance, NoiseAsked, Undoing};
use crate::sound::telemetry::{Piece, Stream, Telemetry};

/// So much has to be heard before anything is told, in seconds.
pub const LEAST_SECONDS: f64 = 10.0;
/// It is judged anew after so much more, in seconds.
const EVERY_SECONDS: f64 = 1.5;
/// The thread looks for sound so often.
const PAUSE: Duration = Duration::from_millis(100);
/// Without sound for this long, nothing runs.
const STANDS: Duration = Duration::from_millis(500);

/// A window's side of it.
pub(super) struct NoiseEar {
    telemetry: Arc<Telemetry>,
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    woken: Condvar,
}

#[derive(Default)]
struct State {
    asked: Arc<NoiseAsked>,
    told: Allowance,
    is_new: bool,
    is_closed: bool,
}

impl Shared {
    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn change(&self, change: impl FnOnce(&mut State)) {
        change(&mut self.state());
        self.woken.notify_all();
    }

    /// What is asked, at once if it is new; `None` if nobody asks any more.
    fn wait(&self) -> Option<Arc<NoiseAsked>> {
        let waits = |state: &mut State| !state.is_new && !state.is_closed;
        let waited = self.woken.wait_timeout_while(self.state(), PAUSE, waits);
        let (mut state, _) = waited.unwrap_or_else(PoisonError::into_inner);
        state.is_new = false;
        (!state.is_closed).then(|| state.asked.clone())
    }
}

impl NoiseEar {
    pub fn new(telemetry: Arc<Telemetry>) -> Self {
        Self { telemetry, shared: Arc::default(), thread: None }
    }

    /// What is to be found.
    pub fn heed(&mut self, asked: &Arc<NoiseAsked>) {
        if Arc::ptr_eq(&self.shared.state().asked, asked) {
            return;
        }
        self.shared.change(|state| {
            state.asked = asked.clone();
            state.is_new = true;
            // What was found is not of this; the thread tells in a moment.
            let finds = asked.listens && self.thread.is_some();
            state.told = if finds { Allowance::None } else { asked.without_listening() };
        });
        if self.thread.is_none() && asked.listens {
            let (shared, telemetry) = (self.shared.clone(), self.telemetry.clone());
            let work = move || {
                let mut hearing = Hearing::default();
                while let Some(asked) = shared.wait() {
                    telemetry.set_streaming(asked.listens);
                    let told = hearing.step(&telemetry, &asked);
                    shared.change(|state| {
                        if Arc::ptr_eq(&state.asked, &asked) {
                            state.told = told;
                        }
                    });
                }
            };
            // Without a thread it is never told, as if nothing came in.
            self.thread = Builder::new().name("noise".to_owned()).spawn(work).ok();
        }
    }

    /// What was found last.
    pub fn told(&self) -> Allowance {
        self.shared.state().told.clone()
    }
}

impl Drop for NoiseEar {
    fn drop(&mut self) {
        self.shared.change(|state| state.is_closed = true);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
            self.telemetry.set_streaming(false);
        }
    }
}

/// What listens.
#[derive(Default)]
struct Hearing {
    run: Option<Run>,
    /// What was heard of each track when it was last judged.
    heard: Vec<Heard>,
    /// When there last was sound.
    sounded: Option<Instant>,
}

/// The input of one kind, for one kind of instrument.
struct Run {
    number: u64,
    rate_hz: f64,
    channels: usize,
    strings_hz: Vec<f64>,
    /// One for each pickup that has a track of its own.
    tracks: Vec<NoiseListener>,
    /// What was heard since it was last judged, in frames.
    fresh: usize,
}

impl Run {
    fn new(stream: &Stream, asked: &NoiseAsked) -> Self {
        let (rate_hz, channels) = (stream.rate_hz, stream.channels);
        let track = |_| NoiseListener::new(rate_hz, &asked.strings_hz);
        Self {
            number: stream.number,
            rate_hz,
            channels,
            strings_hz: asked.strings_hz.clone(),
            tracks: (0..asked.tracks.clamp(1, channels.max(1))).map(track).collect(),
            fresh: 0,
        }
    }

    /// Whether it is of such input and such an instrument.
    fn fits(&self, stream: &Stream, asked: &NoiseAsked) -> bool {
        let tracks = asked.tracks.clamp(1, stream.channels.max(1));
        (self.rate_hz, self.channels, self.tracks.len()) == (stream.rate_hz, stream.channels, tracks)
            && self.strings_hz == asked.strings_hz
    }

    fn interrupt(&mut self) {
        self.tracks.iter_mut().for_each(NoiseListener::interrupt);
    }

    /// All channels of a single pickup, or each pickup's.
    fn add(&mut self, block: &[Vec<f64>]) {
        let each = block.len() / self.tracks.len();
        for (track, channels) in self.tracks.iter_mut().zip(block.chunks(each.max(1))) {
            track.add(channels.iter().map(Vec::as_slice));
        }
        self.fresh += block.first().map_or(0, Vec::len);
    }

    fn seconds(&self) -> f64 {
        self.tracks.first().map_or(0.0, NoiseListener::seconds)
    }
}

impl Hearing {
    /// Takes in what has come, and tells what follows.
    fn step(&mut self, telemetry: &Telemetry, asked: &NoiseAsked) -> Allowance {
        if !asked.listens {
            return asked.without_listening();
        }
        if self.take(telemetry, asked) {
            self.sounded = Some(Instant::now());
        }
        let stands = self.sounded.is_none_or(|at| at.elapsed() > STANDS);
        let Some(run) = &mut self.run else { return asked.unless(Allowance::Stands) };
        #[expect(clippy::cast_precision_loss, reason = "frames of a moment")]
        let fresh = run.fresh as f64 / run.rate_hz;
        if stands {
            run.interrupt();
        }
        let seconds = run.seconds();
        if seconds < LEAST_SECONDS {
            self.heard.clear();
            let listening = Allowance::Listening { seconds: seconds.floor() };
            return asked.unless(if stands { Allowance::Stands } else { listening });
        }
        if self.heard.is_empty() || fresh >= EVERY_SECONDS || (stands && run.fresh > 0) {
            self.heard = run.tracks.iter().map(NoiseListener::heard).collect();
            run.fresh = 0;
        }
        asked.heard.as_ref().map_or(Allowance::None, |undoing| judged(undoing, &self.heard))
    }

    /// Another run of the same kind goes on, any other begins anew.
    fn follow(&mut self, stream: &Stream, asked: &NoiseAsked) {
        match self.run.as_mut().filter(|run| run.fits(stream, asked)) {
            Some(run) if run.number == stream.number => {}
            Some(run) => {
                run.number = stream.number;
                run.interrupt();
            }
            None => {
                self.run = Some(Run::new(stream, asked));
                self.heard.clear();
            }
        }
    }

    /// True if there was any sound.
    fn take(&mut self, telemetry: &Telemetry, asked: &NoiseAsked) -> bool {
        let (mut block, mut has_sound) = (Vec::new(), false);
        loop {
            let piece = {
                let mut stream = telemetry.long();
                let Some(stream) = stream.as_mut() else { return has_sound };
                self.follow(stream, asked);
                block.resize(stream.channels, Vec::new());
                stream.take(&mut block)
            };
            match (piece, &mut self.run) {
                (Some(Piece::Next), Some(run)) => {
                    run.add(&block);
                    has_sound = true;
                }
                (Some(Piece::Break), Some(run)) => run.interrupt(),
                _ => return has_sound,
            }
        }
    }
}

fn judged(undoing: &Undoing, heard: &[Heard]) -> Allowance {
    if *undoing == Undoing::Coil {
        return Allowance::Coil;
    }
    // Of sound that is cut off everywhere nothing is known either.
    if heard.iter().any(|heard| heard.noise.noise().is_none()) {
        return Allowance::Silence;
    }
    undoing.auto(heard).map_or(Allowance::Drowned, Allowance::Allows)
}
