//! How one value moves to another, and how far it has come.

/// A value on its way: the quintic that starts with the value, slope and curvature it has and arrives with no slope
/// and no curvature. Starting at rest it is the smoothstep `10 t³ - 15 t⁴ + 6 t⁵`. (The cubic
/// smoothstep's curvature jumps at both ends: a click.)
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    from: f64,
    to: f64,
    /// At the start, per whole glide.
    slope: f64,
    /// At the start, per whole glide squared.
    curvature: f64,
}

impl Curve {
    pub const fn at_rest(value: f64) -> Self {
        Self::starting(value, value)
    }

    pub const fn starting(from: f64, to: f64) -> Self {
        Self { from, to, slope: 0.0, curvature: 0.0 }
    }

    pub fn is_constant(&self) -> bool {
        self.from == self.to && self.slope == 0.0 && self.curvature == 0.0
    }

    pub const fn end(&self) -> f64 {
        self.to
    }

    /// The value at `t`, 0 to 1.
    pub fn at(&self, t: f64) -> f64 {
        let (t3, rest) = (t * t * t, (1.0 - t).powi(3));
        self.from
            + (self.to - self.from) * t3 * (10.0 + t * (6.0 * t - 15.0))
            + self.slope * t * rest * (1.0 + 3.0 * t)
            + 0.5 * self.curvature * t * t * rest
    }

    fn slope_at(&self, t: f64) -> f64 {
        let rest = 1.0 - t;
        (self.to - self.from) * 30.0 * (t * rest).powi(2)
            + self.slope * rest * rest * (1.0 + t * (2.0 - 15.0 * t))
            + 0.5 * self.curvature * t * rest * rest * (2.0 - 5.0 * t)
    }

    fn curvature_at(&self, t: f64) -> f64 {
        let rest = 1.0 - t;
        (self.to - self.from) * 60.0 * t * rest * (1.0 - 2.0 * t)
            + self.slope * 12.0 * t * rest * (5.0 * t - 3.0)
            + self.curvature * rest * (1.0 + t * (10.0 * t - 8.0))
    }

    /// A bound on the slope anywhere, per whole glide: the three terms' own largest slopes.
    pub fn steepest(&self) -> f64 {
        1.875 * (self.to - self.from).abs() + self.slope.abs() + 0.5 * self.curvature.abs()
    }

    /// Turns towards `to` from where it is, in a glide `stretch` times as long.
    pub fn turned(&self, t: f64, to: f64, stretch: f64) -> Self {
        Self {
            from: self.at(t),
            to,
            slope: self.slope_at(t) * stretch,
            curvature: self.curvature_at(t) * stretch * stretch,
        }
    }
}

/// Where in a glide it is, in whole frames; at rest `at == length`. As `f64`: a conversion from an integer in every frame
/// would, by its dependence on what the register held before, chain each frame to the one before and cost half the speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Progress {
    at: f64,
    length: f64,
}

impl Progress {
    pub const REST: Self = Self { at: 1.0, length: 1.0 };

    pub const fn start(length: f64) -> Self {
        Self { at: 0.0, length }
    }

    /// One that waits for `delay` frames first; meanwhile it is below zero.
    pub const fn start_after(delay: f64, length: f64) -> Self {
        Self { at: -delay, length }
    }

    pub const fn is_moving(self) -> bool {
        self.at < self.length
    }

    pub fn t(self) -> f64 {
        self.at / self.length
    }

    /// The frame of the glide that it is at.
    pub const fn frame(self) -> f64 {
        self.at
    }

    /// `frames` later, at most at the end.
    pub fn after(self, frames: f64) -> Self {
        Self { at: (self.at + frames).min(self.length), ..self }
    }

    /// Whole frames until the end.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, and not negative")]
    pub fn frames_left(self) -> usize {
        (self.length - self.at) as usize
    }

    /// Of a glide of `length` frames, in lengths of this one.
    pub fn stretch(self, length: f64) -> f64 {
        length / self.length
    }

    pub fn step(&mut self) {
        self.at += 1.0;
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::Curve;

    /// Slope and curvature against central differences of the value (their definition).
    #[test]
    fn slope_and_curvature_are_the_derivatives() {
        let curve = Curve { from: 1.0, to: -2.0, slope: 3.0, curvature: -7.0 };
        let h = 1e-4;
        for t in [0.1, 0.37, 0.5, 0.81] {
            let (before, now, after) = (curve.at(t - h), curve.at(t), curve.at(t + h));
            assert_abs_diff_eq!(curve.slope_at(t), (after - before) / (2.0 * h), epsilon = 1e-5);
            assert_abs_diff_eq!(
                curve.curvature_at(t),
                (after - 2.0 * now + before) / (h * h),
                epsilon = 1e-4
            );
        }
    }

    #[test]
    fn starts_and_ends_as_it_should() {
        let curve = Curve { from: 1.0, to: -2.0, slope: 3.0, curvature: -7.0 };
        assert_eq!((curve.at(0.0), curve.slope_at(0.0), curve.curvature_at(0.0)), (1.0, 3.0, -7.0));
        assert_eq!((curve.at(1.0), curve.slope_at(1.0), curve.curvature_at(1.0)), (-2.0, 0.0, 0.0));
    }

    /// From one glide into the next nothing jumps, also where their lengths differ.
    #[test]
    fn turns_without_a_jump() {
        let curve = Curve::starting(0.0, 5.0);
        let turned = curve.turned(0.4, -1.0, 2.0);
        let h = 1e-3;
        assert_abs_diff_eq!(turned.at(0.0), curve.at(0.4));
        assert_abs_diff_eq!(turned.at(h), curve.at(0.4 + 2.0 * h), epsilon = 1e-6);
        assert_abs_diff_eq!(turned.at(3.0 * h), curve.at(0.4 + 6.0 * h), epsilon = 3e-5);
    }
}
