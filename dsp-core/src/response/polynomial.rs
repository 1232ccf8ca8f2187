use arrayvec::ArrayVec;
use rustfft::num_complex::Complex64;

/// Highest degree that a polynomial may have.
const DEGREE: usize = 3;

/// A polynomial in `s` with real coefficients, lowest power first. Lives on the stack: responses are
/// computed on the audio thread too.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Polynomial(ArrayVec<f64, { DEGREE + 1 }>);

impl Polynomial {
    /// `constant + linear · s`.
    pub fn first_order(constant: f64, linear: f64) -> Self {
        Self([constant, linear].into_iter().collect())
    }

    /// Its value at `s`, by Horner's rule.
    pub fn at(&self, s: Complex64) -> Complex64 {
        self.0.iter().rev().fold(Complex64::ZERO, |sum, &coefficient| sum * s + coefficient)
    }

    /// The coefficient of the highest power.
    pub fn leading(&self) -> f64 {
        self.0.last().copied().unwrap_or(0.0)
    }

    /// `-s0` of the one root of a first-order polynomial, in rad/s.
    pub fn corner_rad_s(&self) -> f64 {
        self.0[0] / self.0[1]
    }
}
