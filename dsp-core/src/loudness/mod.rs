//! Loudness before it is heard: the K-weighted spectrum of the input (ITU-R BS.1770) tells how loud every
//! setup would be.

mod k_weighting;
mod predictor;
mod spectrum;

pub use predictor::LoudnessPredictor;
pub use spectrum::Spectrum;
