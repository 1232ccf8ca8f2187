use super::Transfer;
use crate::circuit::{Chain, Link, Pickup, Shunt};

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

/// What each link of `chain` adds to the loss of `pickup` at `hz`, in order.
pub fn contributions(pickup: &Pickup, chain: &Chain, hz: f64) -> Vec<Contribution> {
    let loss_db = |shunt| Transfer::new(pickup, shunt).loss_db(hz);
    let loading: Vec<Shunt> = chain.loading().map(Link::admittance).collect();
    let total_db = loss_db(Shunt::parallel(loading.iter().copied()));
    chain
        .links()
        .enumerate()
        .map(|(index, (link, loads))| {
            // The loading links stand at the front of the chain, so positions agree.
            let others = loading.iter().enumerate().filter(|(other, _)| *other != index);
            let without_db = loss_db(Shunt::parallel(others.map(|(_, shunt)| *shunt)));
            Contribution {
                name: link.name(),
                loads,
                saved_without_db: if loads { total_db - without_db } else { 0.0 },
                loss_alone_db: loss_db(link.admittance()),
            }
        })
        .collect()
}
