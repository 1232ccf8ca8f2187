use std::ops::Deref;

use crate::limits::MOST_ROOTS;

/// One real root at `-decay`, or a pair at `-decay ± j ring`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    /// Minus the real part in rad/s, zero or more.
    pub decay_rad_s: f64,
    /// The imaginary part of a pair in rad/s; zero for a real root.
    pub ring_rad_s: f64,
}

impl Root {
    /// A real root at `-corner_rad_s`.
    pub const fn real(corner_rad_s: f64) -> Self {
        Self { decay_rad_s: corner_rad_s, ring_rad_s: 0.0 }
    }

    /// A pair at `-decay ± j ring`.
    pub const fn pair(decay_rad_s: f64, ring_rad_s: f64) -> Self {
        Self { decay_rad_s, ring_rad_s }
    }

    /// Whether it is one real root.
    pub fn is_real(&self) -> bool {
        self.ring_rad_s == 0.0
    }

    /// Roots that it stands for, one or two.
    pub fn degree(&self) -> usize {
        if self.is_real() { 1 } else { 2 }
    }

    /// Distance from the origin in rad/s: a corner, or where a pair resonates.
    pub fn natural_rad_s(&self) -> f64 {
        self.decay_rad_s.hypot(self.ring_rad_s)
    }

    /// Quality factor of a pair, `w0 / (2 decay)`; one half for a real root.
    pub fn q(&self) -> f64 {
        if self.is_real() { 0.5 } else { self.natural_rad_s() / (2.0 * self.decay_rad_s) }
    }

    /// `|jw - root|²`, of a pair the product of both.
    pub(crate) fn power(&self, w: f64) -> f64 {
        let decay = self.decay_rad_s * self.decay_rad_s;
        if self.is_real() {
            return w * w + decay;
        }
        (decay + (w - self.ring_rad_s).powi(2)) * (decay + (w + self.ring_rad_s).powi(2))
    }
}

/// Roots in order, as many as the largest circuit can have, on the stack: shapes are made on the audio thread too.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roots {
    list: [Root; MOST_ROOTS],
    count: usize,
}

impl Roots {
    /// No root.
    pub const NONE: Self = Self { list: [Root::real(0.0); MOST_ROOTS], count: 0 };

    /// The roots in order.
    pub fn as_slice(&self) -> &[Root] {
        &self.list[..self.count]
    }

    /// The roots in order, to be changed in place.
    pub(crate) fn as_mut_slice(&mut self) -> &mut [Root] {
        &mut self.list[..self.count]
    }

    /// How many roots, a pair being two.
    pub fn degree(&self) -> usize {
        self.iter().map(Root::degree).sum()
    }

    /// Adds one; where there is no room left it is dropped (no circuit that can be made has so many).
    pub(crate) fn push(&mut self, root: Root) {
        if let Some(place) = self.list.get_mut(self.count) {
            *place = root;
            self.count += 1;
        }
    }

    /// Takes one out.
    pub(crate) fn remove(&mut self, index: usize) {
        self.list[..self.count].copy_within(index + 1.., index);
        self.count -= 1;
        self.list[self.count] = Root::real(0.0);
    }
}

impl Deref for Roots {
    type Target = [Root];

    fn deref(&self) -> &[Root] {
        self.as_slice()
    }
}

impl FromIterator<Root> for Roots {
    fn from_iter<I: IntoIterator<Item = Root>>(roots: I) -> Self {
        let mut all = Self::NONE;
        roots.into_iter().for_each(|root| all.push(root));
        all
    }
}
