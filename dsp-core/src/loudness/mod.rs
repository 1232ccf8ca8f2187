//! Loudness (ITU-R BS.1770): measured, gated and matched of what is rendered, and told before it is heard from the K-weighted
//! spectrum of the input.

mod gated;
mod k_weighting;
mod meter;
mod predictor;
mod spectrum;

pub use gated::Loudness;
pub use k_weighting::k_weight;
pub use meter::LoudnessMeter;
pub use predictor::LoudnessPredictor;
pub use spectrum::Spectrum;
