//! What setups are put in order by.

use std::cmp::Ordering;

use dsp_core::response::Response;

/// How good a setup is at what its pickup loses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Merit {
    /// What the lowest string loses, in dB: less is better.
    LossDb(f64),
    /// Of magnetic pickups, where the top falls by 3 dB, in Hz: higher is better.
    TopHz(f64),
}

impl Merit {
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
}
