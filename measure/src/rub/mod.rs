//! Rubbing the top while a known load is switched in and out across the pickup.
//!
//! What is rubbed is noise, so that only its mean power in bands tells something: half the logarithm of its ratio in neighbouring stretches,
//! with the load and without, is what the circuit does, up to how differently was rubbed. That error is alike in bands that are near each other.

mod bands;
mod pair;

use dsp_core::circuit::Cable;

use crate::toggle::{Toggle, answer};
use crate::{Measured, Recording};

/// The capacitance of a pickup, from a take in which the top is rubbed all the time. The first stretch, up to the first mark, is without what is
/// added, the second with it, and so on. What is found is as in [`crate::toggle::pickup`].
pub fn pickup(take: &Recording, loads: &Toggle, marks_seconds: &[f64], cable: Option<&Cable>) -> Measured {
    answer::measured(|| {
        let pairs = bands::pairs(take, marks_seconds)?;
        answer::capacitance(&pairs, loads, cable)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Refusal;

    #[test]
    fn what_is_not_rubbed_is_refused() {
        let rate_hz = 44_100.0;
        let mut random = fastrand::Rng::with_seed(3);
        // A tone is in few bands.
        let sample = |at: u32| {
            let seconds = f64::from(at) / rate_hz;
            let tone = if (1.0..9.0).contains(&seconds) { (6000.0 * seconds).sin() } else { 0.0 };
            0.3 * tone + 1e-4 * (random.f64() - 0.5)
        };
        let take = Recording { rate_hz, samples: (0..441_000).map(sample).collect() };
        let loads = Toggle { load_a: "1M".parse().expect("a load"), added: "56k".parse().expect("a load") };
        let told = |marks: &[f64]| pickup(&take, &loads, marks, None).refused;
        assert!(matches!(told(&[3.0, 5.0]), Some(Refusal::TooFewStretches { marks: 2, .. })));
        let marks = [2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0];
        assert!(matches!(told(&marks), Some(Refusal::RubbedTooSoftly { usable: 0, .. })));
    }
}
