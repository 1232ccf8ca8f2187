//! One filter with its gain and what it has stored.

use super::channels::{CHUNK, Chunk};
use super::first_order::FirstOrderStates;
use super::glide::{GainGlide, ShapeGlide};
use super::stages::Stages;
use crate::filter::Cascade;
use crate::response::{FirstOrder, Shape};

/// A shape at work. One of first order or less is a glide alone; any other is a cascade, followed by a glide that stands still on
/// its gain.
#[derive(Debug, Clone)]
pub(super) struct Voice {
    rate_hz: f64,
    target: Shape,
    /// 1, or -1 for a shape that turns the sound round; the glides know sizes only.
    sign: f64,
    stages: Stages,
    glide: ShapeGlide,
    states: FirstOrderStates,
    gain: GainGlide,
    saved: (ShapeGlide, GainGlide),
}

impl Voice {
    /// One that changes nothing, for so many pairs of channels.
    pub fn new(rate_hz: f64, pairs: usize) -> Self {
        let (glide, gain) = (ShapeGlide::new(rate_hz), GainGlide::new());
        Self {
            rate_hz,
            target: Shape::UNCHANGED,
            sign: 1.0,
            stages: Stages::new(pairs),
            glide,
            states: FirstOrderStates::new(pairs),
            gain,
            saved: (glide, gain),
        }
    }

    /// Becomes another one, with nothing stored and nothing to glide.
    pub fn start(&mut self, shape: &Shape, gain: f64) {
        self.clear();
        let first_order = if let Some(first_order) = shape.as_first_order() {
            self.stages.remove();
            first_order
        } else {
            let cascade = Cascade::new(&shape.zeros, &shape.poles, self.rate_hz);
            self.stages.set(&cascade);
            FirstOrder { gain: shape.gain.abs() * cascade.level, zero_rad_s: 0.0, pole_rad_s: 0.0 }
        };
        (self.glide, self.gain) = (ShapeGlide::new(self.rate_hz), GainGlide::new());
        self.glide.set(&first_order, 1.0);
        self.gain.set(gain, 1.0);
        self.land();
        self.target = *shape;
        self.sign = shape.gain.signum();
    }

    /// Glides to a shape and a gain (a plain factor) in `length` frames. False, and nothing is done, if that would take another
    /// filter beside this one.
    pub fn glide_to(&mut self, shape: &Shape, gain: f64, length: f64) -> bool {
        if *shape != self.target {
            let alike = self.stages.is_empty() && self.sign == shape.gain.signum();
            let (true, Some(first_order)) = (alike, shape.as_first_order()) else {
                return false;
            };
            self.glide.set(&first_order, length);
            self.target = *shape;
        }
        self.gain.set(gain, length);
        true
    }

    /// Glides to a gain (a plain factor) in `length` frames.
    pub fn set_gain(&mut self, gain: f64, length: f64) {
        self.gain.set(gain, length);
    }

    /// Ends every glide on exactly its target.
    pub fn land(&mut self) {
        self.glide.land();
        self.gain.land();
    }

    pub fn target(&self) -> &Shape {
        &self.target
    }

    /// Whether input passes unchanged, bit for bit.
    pub fn is_transparent(&self) -> bool {
        self.stages.is_empty() && self.sign == 1.0 && self.glide.is_transparent() && self.gain.is_unity()
    }

    /// Forgets what is stored.
    pub fn clear(&mut self) {
        self.stages.clear();
        self.states.clear();
    }

    pub fn flush_denormals(&mut self) {
        self.stages.flush_denormals();
        self.states.flush_denormals();
    }

    /// Keeps all that [`run`](Self::run) changes.
    pub fn save(&mut self) {
        self.saved = (self.glide, self.gain);
        self.stages.save();
        self.states.save();
    }

    pub fn restore(&mut self) {
        (self.glide, self.gain) = self.saved;
        self.stages.restore();
        self.states.restore();
    }

    /// Runs the frames `start..end`: one by one while the sections move, else in one go.
    pub fn run(&mut self, chunks: &mut [Chunk], mut start: usize, end: usize) {
        self.stages.run(chunks, start, end);
        while start < end && self.glide.is_moving() {
            let gain = std::iter::once(self.sign * self.gain.value());
            self.states.run(chunks, (start, start + 1), self.glide.coefficients(), gain);
            self.gain.step();
            if self.glide.step() {
                self.states.clear();
            }
            start += 1;
        }
        if self.gain.is_moving() {
            let mut gains = [0.0; CHUNK];
            for gain in &mut gains[start..end] {
                *gain = self.sign * self.gain.value();
                self.gain.step();
            }
            let gains = gains[start..end].iter().copied();
            self.states.run(chunks, (start, end), self.glide.coefficients(), gains);
        } else {
            let gains = std::iter::repeat(self.sign * self.gain.value());
            self.states.run(chunks, (start, end), self.glide.coefficients(), gains);
        }
    }
}
