use super::Response;
use super::substitute::{is_plain, open_box, without_heard};
use crate::circuit::{Chain, InputBox, Link, Pickups};

/// What one link of a chain adds to the loss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// Whether it loads the pickup at all.
    pub loads: bool,
    /// Loss in dB that would be gone without this link; zero where it does not load.
    pub saved_without_db: f64,
    /// The loss in dB if it were alone.
    pub loss_alone_db: f64,
}

impl Contribution {
    /// What each link of `chain` adds to the loss of `pickups` (of two together) at `hz`, in order.
    ///
    /// The box that is listened to stays so, unless it is the one in question; then what stands at its jack is looked at.
    pub fn of_links(pickups: &Pickups, chain: &Chain, hz: f64) -> Vec<Self> {
        let loss_db = |chain: &Chain| Response::new(pickups, chain).loss_db(hz);
        let total_db = loss_db(chain);
        let share = |(index, (link, loads)): (usize, (&Link, bool))| {
            let heard = is_heard(chain, link);
            let without = if heard { without_heard(chain) } else { chain.without(index) };
            Self {
                loads,
                saved_without_db: if loads { total_db - loss_db(&without) } else { 0.0 },
                loss_alone_db: loss_db(&alone(link, heard || !loads)),
            }
        };
        chain.links().enumerate().map(share).collect()
    }
}

fn is_heard(chain: &Chain, link: &Link) -> bool {
    matches!((link, chain.heard()), (Link::Box(input), Some(heard)) if std::ptr::eq(input, heard))
}

/// A chain of one link. A box that only loads is not listened to, which matters where the two differ.
fn alone(link: &Link, heard: bool) -> Chain {
    match link {
        Link::Box(input) if !heard && !is_plain(input) => {
            Chain::of(vec![Link::Box(InputBox { thru: None, ..input.clone() }), open_box()])
        }
        _ => Chain::of(vec![link.clone()]),
    }
}
