//! How coefficients move: the circuit's corners and the gain are interpolated in their logarithm along a
//! smoothstep, and on the way the sections are designed anew for every frame. (Straight lines between designs two frames
//! apart leave a residue of -92 dB in the demo's worst change, four frames apart -79 dB.)

use std::f64::consts::TAU;

use super::curve::{Curve, Progress};
use crate::filter::{FirstOrderSections, Roots, SECTIONS};
use crate::response::FirstOrder;

/// Corners are interpolated in `ln(corner + 50 Hz)`: by the octave above, evenly below, where DC can be reached too. That is
/// about how a bass string's level follows them, and so a matching gain on the same curve keeps it matched on the way (within
/// 1.3 dB in the demo; with 20 Hz instead, within 3 dB).
const LOW_STRING_RAD_S: f64 = TAU * 50.0;

const UNCHANGED: FirstOrder = FirstOrder { gain: 1.0, zero_rad_s: 0.0, pole_rad_s: 0.0 };

fn log_corner(rad_s: f64) -> f64 {
    (rad_s + LOW_STRING_RAD_S).ln()
}

fn corner_rad_s(log: f64) -> f64 {
    (log.exp() - LOW_STRING_RAD_S).max(0.0)
}

/// What the channels' inner loop multiplies with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Coefficients {
    pub poles: [f64; SECTIONS],
    /// Pole minus zero of each section.
    pub residues: [f64; SECTIONS],
    /// Weight of the sections' output.
    pub wet: f64,
    /// Weight of the input itself.
    pub dry: f64,
}

impl Coefficients {
    fn new(sections: &FirstOrderSections, gain: f64, mix: f64) -> Self {
        Self {
            poles: sections.poles.z,
            residues: std::array::from_fn(|i| sections.poles.z[i] - sections.zeros.z[i]),
            wet: gain * sections.level * mix,
            dry: gain * (1.0 - mix),
        }
    }
}

/// Weight of the sections for a mix from 0 to 1. They stay while the pole still travels: by then they are nearly the
/// input itself, and a gain that matched the sections does not meet the bare input.
fn wet(mix: f64) -> f64 {
    1.0 - (1.0 - mix).powi(4)
}

/// The shape that is applied, at rest or on its way to another.
///
/// The corners glide. A flat shape has none of its own: a glide from it starts with the pole on the target's zero,
/// where nothing is stored, and one to it ends with the pole on the zero, while the sections' output gives way to the
/// input itself, so that what is still stored then is not heard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ShapeGlide {
    rate_hz: f64,
    target: FirstOrder,
    progress: Progress,
    log_zero: Curve,
    log_pole: Curve,
    log_gain: Curve,
    /// From this comes the sections' weight against the input itself: see [`wet`].
    mix: Curve,
    sections: FirstOrderSections,
    coefficients: Coefficients,
}

impl ShapeGlide {
    pub fn new(rate_hz: f64) -> Self {
        let sections = FirstOrderSections::new(0.0, 0.0, rate_hz);
        Self {
            rate_hz,
            target: UNCHANGED,
            progress: Progress::REST,
            log_zero: Curve::at_rest(log_corner(0.0)),
            log_pole: Curve::at_rest(log_corner(0.0)),
            log_gain: Curve::at_rest(0.0),
            mix: Curve::at_rest(0.0),
            sections,
            coefficients: Coefficients::new(&sections, 1.0, 0.0),
        }
    }

    pub const fn is_moving(&self) -> bool {
        self.progress.is_moving()
    }

    pub fn is_transparent(&self) -> bool {
        !self.is_moving() && self.target.is_flat() && self.target.gain == 1.0
    }

    pub fn set(&mut self, target: &FirstOrder, length: f64) {
        if *target == self.target {
            return;
        }
        let (t, stretch) = (self.progress.t(), self.progress.stretch(length));
        let turn = |curve: &mut Curve, to: f64| *curve = curve.turned(t, to, stretch);
        let (zero, pole) = (log_corner(target.zero_rad_s), log_corner(target.pole_rad_s));
        let unheard = self.mix == Curve::at_rest(0.0);
        match (unheard, target.is_flat()) {
            (true, true) => {}
            (true, false) => {
                self.log_zero = Curve::at_rest(zero);
                self.log_pole = Curve::starting(zero, pole);
                self.mix = Curve::at_rest(1.0);
            }
            (false, true) => {
                let zero = self.log_zero.end();
                turn(&mut self.log_zero, zero);
                turn(&mut self.log_pole, zero);
                turn(&mut self.mix, 0.0);
            }
            (false, false) => {
                turn(&mut self.log_zero, zero);
                turn(&mut self.log_pole, pole);
                turn(&mut self.mix, 1.0);
            }
        }
        turn(&mut self.log_gain, target.gain.ln());
        self.target = *target;
        self.progress = Progress::start(length);
        self.design(true);
    }

    /// Ends the glide on exactly the target.
    pub fn land(&mut self) {
        let FirstOrder { gain, zero_rad_s, pole_rad_s } = self.target;
        self.progress = Progress::REST;
        self.log_zero = Curve::at_rest(log_corner(zero_rad_s));
        self.log_pole = Curve::at_rest(log_corner(pole_rad_s));
        self.log_gain = Curve::at_rest(gain.ln());
        self.mix = Curve::at_rest(self.mix.end());
        self.sections = FirstOrderSections::new(zero_rad_s, pole_rad_s, self.rate_hz);
        self.coefficients = Coefficients::new(&self.sections, gain, self.mix.end());
    }

    /// For the next frame.
    pub const fn coefficients(&self) -> &Coefficients {
        &self.coefficients
    }

    /// Moves on by one frame. True when it has just landed on a flat shape, whose sections are not heard any more.
    pub fn step(&mut self) -> bool {
        if !self.is_moving() {
            return false;
        }
        self.progress.step();
        if !self.is_moving() {
            self.land();
            return self.target.is_flat();
        }
        self.design(false);
        false
    }

    /// Makes the present frame's coefficients, `anew` or from those of the last frame.
    fn design(&mut self, anew: bool) {
        let t = self.progress.t();
        let roots = |last: &Roots, log: &Curve| {
            let wt = || corner_rad_s(log.at(t)) / self.rate_hz;
            if anew {
                Roots::new(wt())
            } else if log.is_constant() {
                *last
            } else {
                last.near(wt())
            }
        };
        let zeros = roots(&self.sections.zeros, &self.log_zero);
        self.sections = FirstOrderSections::of(zeros, roots(&self.sections.poles, &self.log_pole));
        self.coefficients = Coefficients::new(&self.sections, self.log_gain.at(t).exp(), wet(self.mix.at(t)));
    }
}

/// A gain in the same way, on its own clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct GainGlide {
    target: f64,
    log: Curve,
    progress: Progress,
    value: f64,
    /// Frames from one point of the curve to the next; straight lines between.
    segment: f64,
    line: Line,
}

/// A straight piece of a gain's way, from a frame of the glide to another.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Line {
    begin: f64,
    end: f64,
    value: f64,
    step: f64,
}

impl GainGlide {
    /// A glide as slow as this, in nepers a frame, may be drawn in segments of [`Self::SEGMENT`] frames: a chord then leaves its
    /// curve by less than 1.5e-6 (-116 dB) in a change of setup at 44.1 kHz, by a hundredth of that over 3 s.
    const SLOW: f64 = 7.5e-5;
    const SEGMENT: f64 = 8.0;

    pub const fn new() -> Self {
        let line = Line { begin: 0.0, end: 0.0, value: 1.0, step: 0.0 };
        Self {
            target: 1.0,
            log: Curve::at_rest(0.0),
            progress: Progress::REST,
            value: 1.0,
            segment: 1.0,
            line,
        }
    }

    pub const fn is_moving(&self) -> bool {
        self.progress.is_moving()
    }

    pub fn is_unity(&self) -> bool {
        !self.is_moving() && self.target == 1.0
    }

    pub fn set(&mut self, target: f64, length: f64) {
        if target == self.target {
            return;
        }
        self.log = self.log.turned(self.progress.t(), target.ln(), self.progress.stretch(length));
        self.target = target;
        self.progress = Progress::start(length);
        self.segment = if self.log.steepest() <= Self::SLOW * length { Self::SEGMENT } else { 1.0 };
        self.line.end = 0.0;
    }

    pub fn land(&mut self) {
        self.log = Curve::at_rest(self.log.end());
        self.progress = Progress::REST;
        self.value = self.target;
    }

    /// For the next frame.
    pub const fn value(&self) -> f64 {
        self.value
    }

    /// Moves on by one frame.
    pub fn step(&mut self) {
        if !self.is_moving() {
            return;
        }
        if self.segment == 1.0 {
            self.progress.step();
            self.value = self.log.at(self.progress.t()).exp();
        } else {
            self.step_on_chord();
        }
        if !self.is_moving() {
            self.land();
        }
    }

    fn step_on_chord(&mut self) {
        let now = self.progress.frame();
        if now >= self.line.end {
            let end = self.progress.after(self.segment);
            let frames = end.frame() - now;
            let step = (self.log.at(end.t()).exp() - self.value) / frames;
            self.line = Line { begin: now, end: end.frame(), value: self.value, step };
        }
        self.progress.step();
        self.value = self.line.value + (now + 1.0 - self.line.begin) * self.line.step;
    }
}
