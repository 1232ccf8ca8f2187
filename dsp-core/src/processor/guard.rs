use serde::Serialize;

use super::ramp::Ramp;

/// Output beyond this, 30 dB over full scale, is a runaway: no undo within the default ceiling reaches it.
const RUNAWAY: f64 = 31.622_776_601_683_793;

/// Without the guard only what leaves the range of any sample format is stopped.
const UNGUARDED_LIMIT: f64 = 1e30;

const FADE_OUT_SECONDS: f64 = 0.005;
/// In this time the carried-on sound loses its slope.
const LEVELLING_SECONDS: f64 = 0.0005;
const CALM_SECONDS: f64 = 0.05;
const FADE_IN_SECONDS: f64 = 0.02;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Phase {
    Open,
    Fading(Ramp),
    /// `again` says that there was a cause also in the silence.
    Silent {
        calm_frames: f64,
        again: bool,
    },
    Rising(Ramp),
}

/// What made the guard close.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GuardCause {
    /// Input that is no number, or infinite.
    NotFinite,
    /// Output 30 dB over full scale (without the guard, beyond any sample format).
    Runaway,
    /// Output that neither the input nor the gains that were asked for explain.
    Unexplained,
}

/// What is to be heard in a frame's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Heard {
    /// The frame itself.
    Output,
    /// The frame itself by this factor: the way back.
    Scaled { factor: f64 },
    /// By this factor, what was heard before, carried on with a step that shrinks to `shrink` of itself from frame to frame.
    /// The fault itself is never heard.
    Past { factor: f64, shrink: f64 },
    /// Silence; the channels' state is forgotten if a fault may be in it.
    Nothing { forget: bool },
}

/// What the guard is doing and has done since the last reset.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GuardStatus {
    /// Whether it is holding the output down now.
    pub active: bool,
    /// How often it closed.
    pub closures: u64,
    /// The frame, counted from the last reset, at which it first closed.
    pub first_frame: Option<u64>,
    /// What made it close the last time.
    pub cause: Option<GuardCause>,
}

/// Fades to silence when there is a cause, and back when there has been none for a while.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Guard {
    on: bool,
    phase: Phase,
    rate_hz: f64,
    shrink: f64,
    status: GuardStatus,
}

impl Guard {
    pub fn new(rate_hz: f64) -> Self {
        Self {
            on: true,
            phase: Phase::Open,
            rate_hz,
            shrink: (-(LEVELLING_SECONDS * rate_hz).recip()).exp(),
            status: GuardStatus::default(),
        }
    }

    pub fn set_on(&mut self, on: bool) {
        self.on = on;
    }

    pub const fn is_on(&self) -> bool {
        self.on
    }

    pub fn reset(&mut self) {
        *self = Self { on: self.on, ..Self::new(self.rate_hz) };
    }

    pub fn is_open(&self) -> bool {
        self.phase == Phase::Open
    }

    pub fn limit(&self) -> f64 {
        if self.on { RUNAWAY } else { UNGUARDED_LIMIT }
    }

    pub fn status(&self) -> GuardStatus {
        GuardStatus { active: !self.is_open(), ..self.status }
    }

    /// Moves on by one frame, given what is wrong with it, and says what is to be heard of it.
    pub fn step(&mut self, cause: Option<GuardCause>, frame: u64) -> Heard {
        if self.is_open() && !self.on {
            return match cause {
                Some(GuardCause::Runaway) => Heard::Nothing { forget: true },
                _ => Heard::Output,
            };
        }
        if let (Some(_), Phase::Open | Phase::Rising(_)) = (cause, self.phase) {
            self.phase = Phase::Fading(Ramp::start((FADE_OUT_SECONDS * self.rate_hz).ceil()));
            self.status.closures += 1;
            self.status.first_frame.get_or_insert(frame);
            self.status.cause = cause;
        }
        match &mut self.phase {
            Phase::Open => Heard::Output,
            Phase::Fading(ramp) => {
                ramp.step();
                if ramp.is_moving() {
                    return Heard::Past { factor: 1.0 - ramp.weight(), shrink: self.shrink };
                }
                self.phase = Phase::Silent { calm_frames: 0.0, again: false };
                Heard::Nothing { forget: true }
            }
            Phase::Silent { calm_frames, again } => {
                *again |= cause.is_some();
                *calm_frames = if cause.is_none() { *calm_frames + 1.0 } else { 0.0 };
                let mut forget = cause.is_some();
                if *calm_frames >= CALM_SECONDS * self.rate_hz {
                    // What was stored since is what was on its way to the next one.
                    forget = *again;
                    self.phase = Phase::Rising(Ramp::start((FADE_IN_SECONDS * self.rate_hz).ceil()));
                }
                Heard::Nothing { forget }
            }
            Phase::Rising(ramp) => {
                ramp.step();
                if ramp.is_moving() {
                    return Heard::Scaled { factor: ramp.weight() };
                }
                self.phase = Phase::Open;
                Heard::Output
            }
        }
    }
}
