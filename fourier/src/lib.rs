//! Plans of Fourier transforms, and what has some inside. The planners of `rustfft` and `realfft` are generic, and every crate that calls one
//! compiles all their algorithms once more (20 s of a core, and as much again for its tests): they are called here alone, by functions that
//! no caller takes in; in double precision only, since single would be as much again.

use std::sync::Arc;

use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use rustfft::{Fft, FftPlanner};

/// Of `length` real numbers, to `length / 2 + 1` complex ones.
#[inline(never)]
pub fn real(length: usize) -> Arc<dyn RealToComplex<f64>> {
    RealFftPlanner::new().plan_fft_forward(length)
}

/// The way back from [`real`], times `length`.
#[inline(never)]
pub fn real_back(length: usize) -> Arc<dyn ComplexToReal<f64>> {
    RealFftPlanner::new().plan_fft_inverse(length)
}

/// Of `length` complex numbers.
#[inline(never)]
pub fn complex(length: usize) -> Arc<dyn Fft<f64>> {
    FftPlanner::new().plan_fft_forward(length)
}

/// From one sample rate to another, `chunk` frames of each channel at a time, a whole number of frames at both rates.
///
/// # Errors
/// Of a rate or a chunk of zero.
#[cfg(feature = "rates")]
#[inline(never)]
pub fn resampler(
    from_hz: usize,
    to_hz: usize,
    chunk: usize,
    channels: usize,
) -> Result<rubato::Fft<f64>, rubato::ResamplerConstructionError> {
    let window = rubato::WindowFunction::BlackmanHarris2;
    rubato::Fft::new_custom(from_hz, to_hz, chunk, 1, channels, window, rubato::FixedSync::Both)
}
