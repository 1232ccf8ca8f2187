use thiserror::Error;

/// A chain that is larger than what is computed exactly and in real time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error(
    "the chain has {given} parts that store energy (blocking capacitors, transformers, capacitances behind a splitter's resistor): \
     accepted are at most {accepted}"
)]
pub struct ChainTooLarge {
    /// Parts counted.
    pub given: usize,
    /// The most that are accepted.
    pub accepted: usize,
}
