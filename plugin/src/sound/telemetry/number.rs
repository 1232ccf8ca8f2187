use std::sync::atomic::{AtomicU64, Ordering};

/// A number in an atomic's bits.
#[derive(Debug)]
pub(super) struct Number(AtomicU64);

impl Number {
    pub const fn new(value: f64) -> Self {
        Self(AtomicU64::new(value.to_bits()))
    }

    pub fn set(&self, value: f64) {
        self.0.store(value.to_bits(), Ordering::Relaxed);
    }

    pub fn get(&self) -> f64 {
        f64::from_bits(self.0.load(Ordering::Relaxed))
    }
}
