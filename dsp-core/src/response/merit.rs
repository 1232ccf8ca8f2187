use std::cmp::Ordering;

use super::Response;

/// What is not worth changing anything for, in dB of the lowest string.
const STEP_DB: f64 = 0.5;

/// The same for the top, as a ratio of frequencies: about a semitone.
const STEP_RATIO: f64 = 1.06;

/// How good a setup is at what its pickups lose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Merit {
    /// What the lowest string loses, in dB: less is better.
    LossDb(f64),
    /// Of magnetic pickups, where the top falls by 3 dB, in Hz: higher is better; infinite where it does not below 100 kHz.
    TopHz(f64),
}

impl Merit {
    /// Of a response, whose lowest string sounds at `lowest_hz`.
    pub fn of(response: &Response, lowest_hz: f64) -> Self {
        if response.is_magnetic() {
            Self::TopHz(response.top_corner_hz().unwrap_or(f64::INFINITY))
        } else {
            Self::LossDb(response.loss_db(lowest_hz))
        }
    }

    /// The better one first.
    pub fn order(&self, other: &Self) -> Ordering {
        match (self, other) {
            (Self::TopHz(one), Self::TopHz(other)) => other.total_cmp(one),
            (Self::LossDb(one), Self::LossDb(other)) => one.total_cmp(other),
            // Never: the pickups are the same.
            _ => Ordering::Equal,
        }
    }

    /// By how much it is better than another, negative if it is worse, in steps of which less than one is not worth changing anything
    /// for: 0.5 dB of the lowest string, 6 % of the top's frequency.
    pub fn steps_over(&self, other: &Self) -> f64 {
        let steps = match (self, other) {
            (Self::LossDb(one), Self::LossDb(other)) => (other - one) / STEP_DB,
            (Self::TopHz(one), Self::TopHz(other)) => (one / other).ln() / STEP_RATIO.ln(),
            _ => 0.0,
        };
        // Both lose everything, or neither loses its top.
        if steps.is_nan() { 0.0 } else { steps }
    }
}
