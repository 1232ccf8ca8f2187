//! Loudness before it is heard: the K-weighted spectrum of the input (ITU-R BS.1770) tells how loud every
//! setup would be.

mod k_weighting;
mod predictor;

pub use predictor::LoudnessPredictor;
