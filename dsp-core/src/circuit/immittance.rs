use std::cmp::Ordering;

use crate::polynomial::Polynomial;

/// An impedance or an admittance as a ratio of polynomials in `s`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Immittance {
    pub numerator: Polynomial,
    pub denominator: Polynomial,
}

impl Immittance {
    /// A resistance in ohms as an impedance, or a conductance in siemens as an admittance.
    pub const fn real(value: f64) -> Self {
        Self { numerator: Polynomial::constant(value), denominator: Polynomial::ONE }
    }

    /// `constant + linear · s`: as an admittance a conductance beside a capacitance, as an impedance a resistance with an
    /// inductance.
    pub fn linear(constant: f64, linear: f64) -> Self {
        Self { numerator: Polynomial::linear(constant, linear), denominator: Polynomial::ONE }
    }

    /// A ratio whose denominator is 1 if it is a constant.
    pub fn new(numerator: Polynomial, denominator: Polynomial) -> Self {
        if denominator.degree() > 0 {
            return Self { numerator, denominator };
        }
        let scale = Polynomial::constant(denominator.leading().recip());
        Self { numerator: numerator.times(&scale), denominator: Polynomial::ONE }
    }

    /// Of an inductance in henries, as an admittance: `1/(s L)`.
    pub fn inductance(henries: f64) -> Self {
        Self { numerator: Polynomial::constant(henries.recip()), denominator: Polynomial::linear(0.0, 1.0) }
    }

    /// An admittance as an impedance, or the other way round.
    pub const fn inverse(self) -> Self {
        Self { numerator: self.denominator, denominator: self.numerator }
    }

    pub(super) fn order(&self, other: &Self) -> Ordering {
        self.denominator.order(&other.denominator).then_with(|| self.numerator.order(&other.numerator))
    }
}
