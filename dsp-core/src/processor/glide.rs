//! How coefficients move: the circuit's corners and the gain are interpolated in their logarithm along a
//! smoothstep; on the way the sections are designed anew every few frames and lie on a straight line between.

use std::f64::consts::TAU;

use crate::filter::{Roots, SECTIONS, Sections};
use crate::response::Shape;

/// Frames from one design to the next.
const SEGMENT: u32 = 4;

/// Corners at DC glide from or to this one instead, whose logarithm is finite; then they land on DC.
const LOWEST_CORNER_RAD_S: f64 = TAU * 1e-3;

/// A value on its way: the cubic through both ends that starts with the slope it has and arrives with none.
/// Starting at rest it is the smoothstep `3 t² - 2 t³`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Hermite {
    from: f64,
    to: f64,
    /// Slope at the start, per whole glide.
    slope: f64,
}

impl Hermite {
    const fn at_rest(value: f64) -> Self {
        Self { from: value, to: value, slope: 0.0 }
    }

    fn at(&self, t: f64) -> f64 {
        let rest = 1.0 - t;
        self.from + (self.to - self.from) * t * t * (3.0 - 2.0 * t) + self.slope * t * rest * rest
    }

    fn slope_at(&self, t: f64) -> f64 {
        (self.to - self.from) * 6.0 * t * (1.0 - t) + self.slope * (1.0 - t) * (1.0 - 3.0 * t)
    }

    /// Turns towards `to` from where it is, in a glide `stretch` times as long.
    fn turned(&self, t: f64, to: f64, stretch: f64) -> Self {
        Self { from: self.at(t), to, slope: self.slope_at(t) * stretch }
    }
}

/// Where in a glide it is, in frames; at rest `at == length`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Progress {
    at: u32,
    length: u32,
}

impl Progress {
    const REST: Self = Self { at: 1, length: 1 };

    fn is_moving(self) -> bool {
        self.at < self.length
    }

    fn t(self) -> f64 {
        f64::from(self.at) / f64::from(self.length)
    }

    /// The end of the segment that `at` lies in or begins.
    fn segment_end(self) -> u32 {
        (self.at / SEGMENT * SEGMENT + SEGMENT).min(self.length)
    }

    /// Frames until the next design; no limit at rest.
    fn run(self) -> usize {
        if self.is_moving() { (self.segment_end() - self.at) as usize } else { usize::MAX }
    }
}

/// Coefficients of one frame and their change to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub value: Coefficients,
    pub step: Option<Coefficients>,
}

/// What the channels' inner loop multiplies with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Coefficients {
    pub zeros: [f64; SECTIONS],
    pub poles: [f64; SECTIONS],
    /// Weight of the sections' output.
    pub wet: f64,
    /// Weight of the input itself.
    pub dry: f64,
}

impl Coefficients {
    fn new(sections: &Sections, shape_gain: f64, mix: f64) -> Self {
        Self {
            zeros: sections.zeros.z,
            poles: sections.poles.z,
            wet: shape_gain * sections.level * mix,
            dry: shape_gain * (1.0 - mix),
        }
    }

    pub fn map2(&self, other: &Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            zeros: std::array::from_fn(|i| f(self.zeros[i], other.zeros[i])),
            poles: std::array::from_fn(|i| f(self.poles[i], other.poles[i])),
            wet: f(self.wet, other.wet),
            dry: f(self.dry, other.dry),
        }
    }
}

/// The shape that is applied, at rest or on its way to another.
///
/// Between two shapes with a zero and a pole the corners glide. From or to a flat shape, which has no corners, the
/// sections' output and the input are crossfaded along the same curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ShapeGlide {
    rate_hz: f64,
    target: Shape,
    progress: Progress,
    log_zero: Hermite,
    log_pole: Hermite,
    log_gain: Hermite,
    mix: Hermite,
    sections: Sections,
    line: Line,
}

impl ShapeGlide {
    pub fn new(rate_hz: f64) -> Self {
        let sections = Sections::new(&Shape::UNCHANGED, rate_hz);
        Self {
            rate_hz,
            target: Shape::UNCHANGED,
            progress: Progress::REST,
            log_zero: Hermite::at_rest(LOWEST_CORNER_RAD_S.ln()),
            log_pole: Hermite::at_rest(LOWEST_CORNER_RAD_S.ln()),
            log_gain: Hermite::at_rest(0.0),
            mix: Hermite::at_rest(0.0),
            sections,
            line: Line { value: Coefficients::new(&sections, 1.0, 0.0), step: None },
        }
    }

    pub fn is_flat(&self) -> bool {
        !self.progress.is_moving() && self.target.is_flat() && self.target.gain == 1.0
    }

    pub fn set(&mut self, target: &Shape, length: u32) {
        if *target == self.target {
            return;
        }
        let t = self.progress.t();
        let stretch = f64::from(length) / f64::from(self.progress.length);
        let dry = !self.progress.is_moving() && self.target.is_flat();
        if !target.is_flat() {
            let turn = |corner: &Hermite, to: f64| {
                let to = to.max(LOWEST_CORNER_RAD_S).ln();
                if dry { Hermite::at_rest(to) } else { corner.turned(t, to, stretch) }
            };
            self.log_zero = turn(&self.log_zero, target.zero_rad_s);
            self.log_pole = turn(&self.log_pole, target.pole_rad_s);
        } else {
            self.log_zero = self.log_zero.turned(t, self.log_zero.to, stretch);
            self.log_pole = self.log_pole.turned(t, self.log_pole.to, stretch);
        }
        self.log_gain = self.log_gain.turned(t, target.gain.ln(), stretch);
        self.mix = self.mix.turned(t, if target.is_flat() { 0.0 } else { 1.0 }, stretch);
        self.target = *target;
        self.progress = Progress { at: 0, length };
        if dry {
            self.sections = self.sections_at(0.0);
            self.line.value = Coefficients::new(&self.sections, self.log_gain.at(0.0).exp(), 0.0);
        }
        self.start_segment();
    }

    /// Ends the glide on exactly the target.
    pub fn land(&mut self) {
        self.progress = Progress::REST;
        let rest = |glide: &Hermite| Hermite::at_rest(glide.to);
        self.log_zero = rest(&self.log_zero);
        self.log_pole = rest(&self.log_pole);
        self.log_gain = rest(&self.log_gain);
        self.mix = rest(&self.mix);
        self.sections = Sections::new(&self.target, self.rate_hz);
        self.line =
            Line { value: Coefficients::new(&self.sections, self.target.gain, self.mix.to), step: None };
    }

    /// Frames until the coefficients' straight line ends.
    pub fn run(&self) -> usize {
        self.progress.run()
    }

    pub fn line(&self) -> Line {
        self.line
    }

    /// Moves on by `frames`, at most [`Self::run`]. True when it has just landed on a flat shape, whose sections are not
    /// heard any more.
    pub fn advance(&mut self, frames: usize) -> bool {
        if !self.progress.is_moving() {
            return false;
        }
        // Added up one by one, as the inner loop does: the same bits however a segment is cut into blocks.
        for _ in 0..frames {
            self.progress.at += 1;
            if let Some(step) = &self.line.step {
                self.line.value = self.line.value.map2(step, |value, step| value + step);
            }
        }
        if !self.progress.is_moving() {
            self.land();
            return self.target.is_flat();
        }
        if self.progress.at.is_multiple_of(SEGMENT) {
            self.start_segment();
        }
        false
    }

    pub fn tail_seconds(&self) -> f64 {
        const LN_120_DB: f64 = 13.815_510_557_964_274;
        if self.target.is_flat() { 0.0 } else { LN_120_DB / self.target.pole_rad_s }
    }

    /// Draws the line from the present coefficients to those at the end of the segment.
    fn start_segment(&mut self) {
        let end = self.progress.segment_end();
        let t = f64::from(end) / f64::from(self.progress.length);
        self.sections = self.sections_at(t);
        let next = Coefficients::new(&self.sections, self.log_gain.at(t).exp(), self.mix.at(t));
        let per_frame = f64::from(end - self.progress.at).recip();
        self.line.step = Some(next.map2(&self.line.value, |next, now| (next - now) * per_frame));
    }

    fn sections_at(&self, t: f64) -> Sections {
        let roots = |near: &Roots, glide: &Hermite| {
            let wt = || glide.at(t).exp() / self.rate_hz;
            // A corner that stays where it is keeps its roots; one that moves is near the last segment's.
            if self.progress.at == 0 {
                Roots::new(wt())
            } else if glide.from == glide.to && glide.slope == 0.0 {
                *near
            } else {
                near.near(wt())
            }
        };
        Sections::of(roots(&self.sections.zeros, &self.log_zero), roots(&self.sections.poles, &self.log_pole))
    }
}

/// A gain in the same way, on its own clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct GainGlide {
    target: f64,
    log: Hermite,
    progress: Progress,
    value: f64,
    step: f64,
}

impl GainGlide {
    pub const fn new() -> Self {
        Self { target: 1.0, log: Hermite::at_rest(0.0), progress: Progress::REST, value: 1.0, step: 0.0 }
    }

    pub fn is_unity(&self) -> bool {
        !self.progress.is_moving() && self.target == 1.0
    }

    pub fn set(&mut self, target: f64, length: u32) {
        if target == self.target {
            return;
        }
        let stretch = f64::from(length) / f64::from(self.progress.length);
        self.log = self.log.turned(self.progress.t(), target.ln(), stretch);
        self.target = target;
        self.progress = Progress { at: 0, length };
        self.start_segment();
    }

    pub fn land(&mut self) {
        self.log = Hermite::at_rest(self.log.to);
        self.progress = Progress::REST;
        self.value = self.target;
        self.step = 0.0;
    }

    pub fn run(&self) -> usize {
        self.progress.run()
    }

    /// The gain at the next frame and its change from frame to frame.
    pub fn line(&self) -> (f64, f64) {
        (self.value, self.step)
    }

    pub fn advance(&mut self, frames: usize) {
        if !self.progress.is_moving() {
            return;
        }
        for _ in 0..frames {
            self.progress.at += 1;
            self.value += self.step;
        }
        if !self.progress.is_moving() {
            self.land();
        } else if self.progress.at.is_multiple_of(SEGMENT) {
            self.start_segment();
        }
    }

    fn start_segment(&mut self) {
        let end = self.progress.segment_end();
        let next = self.log.at(f64::from(end) / f64::from(self.progress.length)).exp();
        self.step = (next - self.value) / f64::from(end - self.progress.at);
    }
}
