//! Polynomials in `s` with real coefficients, and their roots. Everything lives on the stack: responses are computed on
//! the audio thread too.

mod finder;
mod roots;

use std::cmp::Ordering;

use rustfft::num_complex::Complex64;

use crate::limits::MOST_ORDER;

pub(crate) use finder::roots;
pub use roots::{Root, Roots};

/// Coefficients, lowest power first. The highest one is not zero, unless all are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Polynomial {
    coefficients: [f64; MOST_ORDER + 1],
    degree: usize,
}

impl Polynomial {
    pub const ONE: Self = Self::constant(1.0);
    pub const ZERO: Self = Self::constant(0.0);

    pub const fn constant(value: f64) -> Self {
        let mut coefficients = [0.0; MOST_ORDER + 1];
        coefficients[0] = value;
        Self { coefficients, degree: 0 }
    }

    /// `constant + linear · s`.
    pub fn linear(constant: f64, linear: f64) -> Self {
        let mut sum = Self::constant(constant);
        sum.coefficients[1] = linear;
        sum.trimmed(1)
    }

    fn trimmed(mut self, degree: usize) -> Self {
        self.degree = (0..=degree).rev().find(|k| self.coefficients[*k] != 0.0).unwrap_or(0);
        self
    }

    /// Lowest power first, the highest one not zero.
    pub fn coefficients(&self) -> &[f64] {
        &self.coefficients[..=self.degree]
    }

    pub const fn degree(&self) -> usize {
        self.degree
    }

    /// The coefficient of the highest power.
    pub const fn leading(&self) -> f64 {
        self.coefficients[self.degree]
    }

    /// How many of its roots lie at the origin.
    pub fn roots_at_origin(&self) -> usize {
        self.coefficients().iter().take_while(|c| **c == 0.0).count().min(self.degree)
    }

    /// Without `count` of its roots at the origin.
    pub fn divided_by_s(&self, count: usize) -> Self {
        let mut quotient = Self::ZERO;
        let rest = &self.coefficients()[count..];
        quotient.coefficients[..rest.len()].copy_from_slice(rest);
        quotient.trimmed(self.degree - count)
    }

    /// Its value at `s`, by Horner's rule.
    pub fn at(&self, s: Complex64) -> Complex64 {
        self.coefficients().iter().rev().fold(Complex64::ZERO, |sum, &coefficient| sum * s + coefficient)
    }

    pub fn plus(&self, other: &Self) -> Self {
        let mut sum = *self;
        for (to, from) in sum.coefficients.iter_mut().zip(other.coefficients()) {
            *to += from;
        }
        sum.trimmed(self.degree.max(other.degree))
    }

    /// # Panics
    /// If the product's degree exceeds [`MOST_ORDER`]: chains are checked when they are made.
    pub fn times(&self, other: &Self) -> Self {
        if *self == Self::ONE {
            return *other;
        }
        let mut product = Self::ZERO;
        for (i, a) in self.coefficients().iter().enumerate() {
            for (to, b) in product.coefficients[i..].iter_mut().zip(other.coefficients()) {
                *to += a * b;
            }
        }
        assert!(self.degree + other.degree <= MOST_ORDER, "a circuit beyond what a chain may hold");
        product.trimmed(self.degree + other.degree)
    }

    /// Some order, to put parts in parallel into one that does not depend on how they were written.
    pub fn order(&self, other: &Self) -> Ordering {
        let pairs = self.coefficients.iter().zip(&other.coefficients);
        pairs.fold(Ordering::Equal, |order, (a, b)| order.then_with(|| a.total_cmp(b)))
    }
}
