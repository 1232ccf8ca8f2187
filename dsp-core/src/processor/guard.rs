/// Output beyond this, 30 dB over full scale, is a runaway: no undo within the default ceiling reaches it.
const RUNAWAY: f64 = 31.622_776_601_683_793;

/// Without the guard only what leaves the range of any sample format is stopped.
const UNGUARDED_LIMIT: f64 = 1e30;

const FADE_OUT_SECONDS: f64 = 0.005;
const CALM_SECONDS: f64 = 0.05;
const FADE_IN_SECONDS: f64 = 0.02;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Phase {
    Open,
    Fading,
    Silent { calm_frames: f64 },
    Rising,
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
}

/// Fades to silence on non-finite input or a runaway output, and back when the input has been calm for a
/// while.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Guard {
    on: bool,
    phase: Phase,
    /// Position in the fade, one for open.
    position: f64,
    rate_hz: f64,
    status: GuardStatus,
}

impl Guard {
    pub fn new(rate_hz: f64) -> Self {
        Self { on: true, phase: Phase::Open, position: 1.0, rate_hz, status: GuardStatus::default() }
    }

    pub fn set_on(&mut self, on: bool) {
        self.on = on;
    }

    pub fn reset(&mut self) {
        *self = Self { on: self.on, ..Self::new(self.rate_hz) };
    }

    pub fn is_open(&self) -> bool {
        self.phase == Phase::Open
    }

    /// Whether a missing input is bridged by the last one, so that the fade starts without a jump.
    pub fn holds(&self) -> bool {
        self.on && matches!(self.phase, Phase::Open | Phase::Fading)
    }

    pub fn limit(&self) -> f64 {
        if self.on { RUNAWAY } else { UNGUARDED_LIMIT }
    }

    pub fn status(&self) -> GuardStatus {
        GuardStatus { active: !self.is_open(), ..self.status }
    }

    /// The factor for the present frame's output.
    pub fn envelope(&self) -> f64 {
        self.position * self.position * (3.0 - 2.0 * self.position)
    }

    /// Moves on by one frame, given whether the input was finite and the output within the limit. True if the frame is to be
    /// silent and the channels' state forgotten.
    pub fn step(&mut self, finite: bool, within: bool, frame: u64) -> bool {
        if !self.on && self.is_open() {
            return !within;
        }
        let calm = finite && within;
        if !calm && matches!(self.phase, Phase::Open | Phase::Rising) {
            self.phase = Phase::Fading;
            self.status.closures += 1;
            self.status.first_frame.get_or_insert(frame);
        }
        let by = |seconds: f64| (seconds * self.rate_hz).recip();
        match &mut self.phase {
            Phase::Open => false,
            Phase::Fading => {
                self.position = (self.position - by(FADE_OUT_SECONDS)).max(0.0);
                let closed = self.position == 0.0;
                if closed {
                    self.phase = Phase::Silent { calm_frames: 0.0 };
                }
                closed
            }
            Phase::Silent { calm_frames } => {
                *calm_frames = if calm { *calm_frames + 1.0 } else { 0.0 };
                if *calm_frames >= CALM_SECONDS * self.rate_hz {
                    self.phase = Phase::Rising;
                }
                !calm
            }
            Phase::Rising => {
                self.position = (self.position + by(FADE_IN_SECONDS)).min(1.0);
                if self.position == 1.0 {
                    self.phase = Phase::Open;
                }
                false
            }
        }
    }
}
