use super::curve::Curve;

/// Output beyond this, 30 dB over full scale, is a runaway: no undo within the default ceiling reaches it.
const RUNAWAY: f64 = 31.622_776_601_683_793;

/// Without the guard only what leaves the range of any sample format is stopped.
const UNGUARDED_LIMIT: f64 = 1e30;

const FADE_OUT_SECONDS: f64 = 0.005;
/// In this time the carried-on sound loses its slope.
const LEVELLING_SECONDS: f64 = 0.0005;
const CALM_SECONDS: f64 = 0.05;
const FADE_IN_SECONDS: f64 = 0.02;

const OPENING: Curve = Curve::starting(0.0, 1.0);

#[derive(Debug, Clone, Copy, PartialEq)]
enum Phase {
    Open,
    Fading,
    Silent { calm_frames: f64 },
    Rising,
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
}

/// Fades to silence on non-finite input or a runaway output, and back when both have been calm for a while.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Guard {
    on: bool,
    phase: Phase,
    /// Position in the fade, one for open.
    position: f64,
    rate_hz: f64,
    shrink: f64,
    status: GuardStatus,
}

impl Guard {
    pub fn new(rate_hz: f64) -> Self {
        Self {
            on: true,
            phase: Phase::Open,
            position: 1.0,
            rate_hz,
            shrink: (-(LEVELLING_SECONDS * rate_hz).recip()).exp(),
            status: GuardStatus::default(),
        }
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

    pub fn limit(&self) -> f64 {
        if self.on { RUNAWAY } else { UNGUARDED_LIMIT }
    }

    pub fn status(&self) -> GuardStatus {
        GuardStatus { active: !self.is_open(), ..self.status }
    }

    /// Moves on by one frame, given whether its input was finite and its output within the limit, and says what is to be
    /// heard of it.
    pub fn step(&mut self, finite: bool, within: bool, frame: u64) -> Heard {
        if self.is_open() && !self.on {
            return if within { Heard::Output } else { Heard::Nothing { forget: true } };
        }
        let calm = finite && within;
        if !calm && matches!(self.phase, Phase::Open | Phase::Rising) {
            self.phase = Phase::Fading;
            self.position = 1.0;
            self.status.closures += 1;
            self.status.first_frame.get_or_insert(frame);
        }
        match &mut self.phase {
            Phase::Open => Heard::Output,
            Phase::Fading => self.fade(),
            Phase::Silent { calm_frames } => {
                *calm_frames = if calm { *calm_frames + 1.0 } else { 0.0 };
                if *calm_frames >= CALM_SECONDS * self.rate_hz {
                    self.phase = Phase::Rising;
                }
                Heard::Nothing { forget: !calm }
            }
            Phase::Rising => self.rise(),
        }
    }

    fn fade(&mut self) -> Heard {
        self.position -= (FADE_OUT_SECONDS * self.rate_hz).recip();
        // The steps do not add up to one exactly.
        if self.position < 1e-9 {
            self.position = 0.0;
            self.phase = Phase::Silent { calm_frames: 0.0 };
            return Heard::Nothing { forget: true };
        }
        Heard::Past { factor: OPENING.at(self.position), shrink: self.shrink }
    }

    fn rise(&mut self) -> Heard {
        self.position += (FADE_IN_SECONDS * self.rate_hz).recip();
        if self.position >= 1.0 {
            self.phase = Phase::Open;
            return Heard::Output;
        }
        Heard::Scaled { factor: OPENING.at(self.position) }
    }
}
