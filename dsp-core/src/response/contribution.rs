use super::Transfer;
use crate::circuit::{Chain, Link, Pickups};

/// What one link of a chain adds to the loss.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// The link's name or value.
    pub name: String,
    /// Whether it loads the pickup at all.
    pub loads: bool,
    /// Loss in dB that would be gone without this link; zero where it does not load.
    pub saved_without_db: f64,
    /// The loss in dB if it were alone.
    pub loss_alone_db: f64,
}

/// What each link of `chain` adds to the loss of `pickups` (the first of two) at `hz`, in order.
pub fn contributions(pickups: &Pickups, chain: &Chain, hz: f64) -> Vec<Contribution> {
    let loss_db = |chain: &Chain| Transfer::new(pickups, chain).loss_db(hz);
    let total_db = loss_db(chain);
    let share = |(index, (link, loads)): (usize, (&Link, bool))| Contribution {
        name: link.name(),
        loads,
        saved_without_db: if loads { total_db - loss_db(&chain.without(index)) } else { 0.0 },
        loss_alone_db: loss_db(&Chain::of(vec![link.clone()])),
    };
    chain.links().enumerate().map(share).collect()
}
