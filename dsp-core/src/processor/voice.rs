//! One filter with its gain and what it has stored.

use super::channels::{CHUNK, Chunk, each};
use super::first_order::FirstOrderStage;
use super::gain::Gain;
use super::stages::Stages;
use crate::filter::{Cascade, FirstOrderSections};
use crate::response::Shape;

/// Between this many times the lowest and the highest corner the largest gain of a shape is looked for, at so many places.
const AROUND: f64 = 8.0;
const PLACES: u32 = 48;

/// A shape at work, unchanging but for its gain.
#[derive(Debug, Clone)]
pub(super) struct Voice {
    rate_hz: f64,
    shape: Shape,
    /// What the filter's output is multiplied with besides the gain; negative for a shape that turns the sound round.
    pub scale: f64,
    /// The largest `|K|`, its gain included.
    largest: f64,
    first_order: FirstOrderStage,
    stages: Stages,
    gain: Gain,
}

impl Voice {
    /// One that changes nothing, for so many pairs of channels.
    pub fn new(rate_hz: f64, pairs: usize) -> Self {
        Self {
            rate_hz,
            shape: Shape::UNCHANGED,
            scale: 1.0,
            largest: 1.0,
            first_order: FirstOrderStage::new(pairs),
            stages: Stages::new(pairs),
            gain: Gain::at_rest(1.0),
        }
    }

    /// Becomes another one, with nothing stored.
    pub fn start(&mut self, shape: &Shape, gain: f64) {
        self.clear();
        self.first_order.remove();
        self.stages.remove();
        let level = match shape.as_first_order() {
            Some(first_order) if first_order.is_flat() => 1.0,
            Some(first_order) => {
                let (zero, pole) = (first_order.zero_rad_s, first_order.pole_rad_s);
                self.first_order.set(&FirstOrderSections::new(zero, pole, self.rate_hz))
            }
            None => self.stages.set(&Cascade::new(&shape.zeros, &shape.poles, self.rate_hz)),
        };
        self.shape = *shape;
        self.scale = shape.gain * level;
        self.largest = largest(shape, self.rate_hz);
        self.gain = Gain::at_rest(gain);
    }

    pub const fn shape(&self) -> &Shape {
        &self.shape
    }

    pub const fn gain(&mut self) -> &mut Gain {
        &mut self.gain
    }

    /// Whether input passes unchanged, bit for bit.
    pub fn is_transparent(&self) -> bool {
        self.shape.is_flat() && self.scale == 1.0 && !self.gain.is_moving() && self.gain.value() == 1.0
    }

    pub fn is_moving(&self) -> bool {
        self.gain.is_moving()
    }

    /// The most by which a steady tone is louder than it came in, with the largest gain that is on its way.
    pub fn largest(&self) -> f64 {
        self.largest * self.gain.largest()
    }

    /// Frames after which what is stored has died away by 60 dB; infinite with a pole at DC.
    pub fn memory_frames(&self) -> f64 {
        self.frames_of(|_| true)
    }

    /// The same of all that ends: frames of the past that make it what it would be had it always run. (What a pole at DC has stored depends on
    /// all that ever was, so it begins with nothing.)
    pub fn past_frames(&self) -> f64 {
        self.frames_of(|decay_rad_s| decay_rad_s > 0.0)
    }

    fn frames_of(&self, counts: impl Fn(f64) -> bool) -> f64 {
        const LN_60_DB: f64 = 6.907_755_278_982_137;
        let decays = self.shape.poles.iter().map(|pole| pole.decay_rad_s).filter(|decay| counts(*decay));
        LN_60_DB / decays.fold(f64::INFINITY, f64::min) * self.rate_hz
    }

    /// Forgets what is stored.
    pub fn clear(&mut self) {
        self.first_order.clear();
        self.stages.clear();
    }

    pub fn flush_denormals(&mut self) {
        self.first_order.flush_denormals();
        self.stages.flush_denormals();
    }

    /// Stores what the first `frames` of the chunks leave behind; they are not to be heard.
    pub fn catch_up(&mut self, chunks: &mut [Chunk], frames: usize) {
        self.first_order.run(chunks, frames);
        self.stages.run(chunks, frames);
    }

    /// Runs the first `frames` of the chunks. In `explained` the larger is kept of what is there and what the filter's output
    /// comes to with the largest gain that was asked for.
    pub fn run(&mut self, chunks: &mut [Chunk], frames: usize, explained: Option<&mut [Chunk]>) {
        self.catch_up(chunks, frames);
        if let Some(explained) = explained {
            let most = self.scale.abs() * self.gain.largest();
            for (explained, chunk) in explained.iter_mut().zip(chunks.iter()) {
                for (explained, x) in explained.iter_mut().zip(&chunk[..frames]) {
                    *explained = each(|lane| explained[lane].max(most * x[lane].abs()));
                }
            }
        }
        let mut gains = [self.gain.value() * self.scale; CHUNK];
        if self.gain.is_moving() {
            for gain in &mut gains[..frames] {
                *gain = self.gain.value() * self.scale;
                self.gain.step();
            }
        }
        for chunk in chunks {
            for (x, gain) in chunk[..frames].iter_mut().zip(gains) {
                *x = x.map(|x| gain * x);
            }
        }
    }
}

/// The largest `|K|` in the band, within a decibel or two.
fn largest(shape: &Shape, rate_hz: f64) -> f64 {
    let natural = || shape.zeros.iter().chain(shape.poles.iter()).map(|root| root.natural_rad_s());
    let top = std::f64::consts::PI * rate_hz;
    let low = natural().filter(|w| *w > 0.0).fold(top, f64::min) / AROUND;
    let high = (natural().fold(low, f64::max) * AROUND).clamp(low, top);
    let between = (0..=PLACES).map(|i| low * (high / low).powf(f64::from(i) / f64::from(PLACES)));
    between
        .chain(natural().filter(|w| *w <= top))
        .chain([0.0, top])
        .map(|w| shape.power(w / std::f64::consts::TAU).sqrt())
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::response::{Root, Roots};

    /// `(s / ((s + a)(s + b)))^4` is largest at `sqrt(a b)`, `(a + b)^-4` (textbook); a pair of quality `Q` rises to
    /// `Q / sqrt(1 - 1/(4 Q²))` of its level at DC.
    #[test]
    fn the_largest_gain_is_found_also_between_corners() {
        let four = |root: Root| std::iter::repeat_n(root, 4);
        for (a, b) in [(60.0, 60.0), (60.0, 900.0), (300.0, 20_000.0), (30.0, 60_000.0)] {
            let gain = f64::powi(a + b, 4);
            let poles = four(Root::real(a)).chain(four(Root::real(b))).collect();
            let shape = Shape { gain, zeros: four(Root::real(0.0)).collect(), poles };
            let over_db = 20.0 * largest(&shape, 48_000.0).log10();
            assert!((-2.0..1e-9).contains(&over_db), "{a} {b}: {over_db} dB");
        }
        for q in [0.8, 2.0, 10.0] {
            let natural: f64 = 5_000.0;
            let decay = natural / (2.0 * q);
            let poles = Roots::from_iter([Root::pair(decay, (natural * natural - decay * decay).sqrt())]);
            let shape = Shape { gain: natural * natural, zeros: Roots::NONE, poles };
            let over_db = 20.0 * (largest(&shape, 48_000.0) / (q / (1.0 - 0.25 / (q * q)).sqrt())).log10();
            assert!((-2.0..1e-9).contains(&over_db), "{q}: {over_db} dB");
        }
    }
}
