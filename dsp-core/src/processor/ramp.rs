//! The one way on which anything goes from here to there.
//!
//! What is on its way is always a mix, `(1 - w) here + w there`, of two sounds that both exist: `w` is never below 0 or above 1, and so the
//! mix is never louder than the louder of the two, whatever arrives and whenever. (A glide of the circuit's values keeps no such
//! promise: half-way between two corners with matched gains in their logarithm, notes between them come out up to 6 dB above both ends; and one
//! that is turned on its way, keeping slope and curvature, may overshoot without bound.)

/// `10 t³ - 15 t⁴ + 6 t⁵`: from 0 to 1, with neither slope nor curvature at either end. (The cubic smoothstep's curvature jumps at both ends: a
/// click.)
fn smoothstep(t: f64) -> f64 {
    t * t * t * (10.0 + t * (6.0 * t - 15.0))
}

/// A place on the way, in whole frames. As `f64`: a conversion from an integer in every frame would, by its dependence on what
/// the register held before, chain each frame to the one before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ramp {
    at: f64,
    length: f64,
}

impl Ramp {
    /// Not on the way.
    pub const REST: Self = Self { at: 1.0, length: 1.0 };

    /// Begins after `delay` frames.
    pub const fn start_after(delay: f64, length: f64) -> Self {
        Self { at: -delay, length }
    }

    pub const fn start(length: f64) -> Self {
        Self::start_after(0.0, length)
    }

    pub const fn is_moving(self) -> bool {
        self.at < self.length
    }

    /// Whether it is yet to begin.
    pub const fn waits(self) -> bool {
        self.at < 0.0
    }

    /// Of what it leads to, in the present frame.
    pub fn weight(self) -> f64 {
        smoothstep((self.at / self.length).clamp(0.0, 1.0))
    }

    pub fn step(&mut self) {
        self.advance(1.0);
    }

    /// Moves on by so many frames.
    pub fn advance(&mut self, frames: f64) {
        self.at += frames;
    }

    /// Whole frames until it begins, or if it has, until its end.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and not negative")]
    pub fn frames_to_next(self) -> usize {
        (if self.waits() { -self.at } else { self.length - self.at }) as usize
    }

    /// Whole frames until its end.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and not negative")]
    pub fn frames_left(self) -> usize {
        (self.length - self.at).max(0.0) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slope and curvature by central differences (their definition) vanish at the ends, and it never leaves 0 to 1.
    #[test]
    fn leads_from_nought_to_one_and_begins_and_ends_at_rest() {
        let h = 1e-4;
        assert_eq!((smoothstep(0.0), smoothstep(0.5), smoothstep(1.0)), (0.0, 0.5, 1.0));
        assert!(smoothstep(2.0 * h) / (h * h) < 1e-2 && (1.0 - smoothstep(1.0 - 2.0 * h)) / (h * h) < 1e-2);
        let all: Vec<f64> = (0..=1_000).map(|i| smoothstep(f64::from(i) / 1_000.0)).collect();
        assert!(all.windows(2).all(|pair| pair[0] <= pair[1]));
    }

    #[test]
    fn waits_begins_and_ends_at_its_frames() {
        let mut ramp = Ramp::start_after(2.0, 4.0);
        let weights: Vec<f64> = std::iter::from_fn(|| {
            let weight = ramp.is_moving().then(|| ramp.weight());
            ramp.step();
            weight
        })
        .collect();
        assert_eq!(weights.len(), 6);
        assert_eq!(weights[..3], [0.0, 0.0, 0.0]);
        assert_eq!(weights[4], 0.5);
        assert_eq!(Ramp::start_after(2.0, 4.0).frames_to_next(), 2);
        assert_eq!((Ramp::start_after(2.0, 4.0).frames_left(), Ramp::start(4.0).frames_to_next()), (6, 4));
        assert!(!Ramp::REST.is_moving());
    }
}
