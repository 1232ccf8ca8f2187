use dsp_core::response::Merit;
use firstjack_words::Words;
use serde::Serialize;

use super::{Advice, Remedy};
use crate::name::Name;

/// The advice's fields in JSON.
#[derive(Debug, Serialize)]
pub struct AdviceTold {
    /// The one thing to do.
    #[serde(rename = "do")]
    first: String,
    /// The same and all that is said besides.
    sentences: Vec<String>,
    /// The setups that something is plugged into, best first.
    order: Vec<Place>,
    /// Whether the order is the same wherever values lie within their tolerances; null where nothing has any, or there is one setup.
    order_holds: Option<bool>,
    /// Whether what there is is good enough.
    enough: bool,
    /// Where it is not, and an input would help: what it must have at least.
    needed_ohms: Option<f64>,
    /// The input of the buffer box to bring, where inputs as high as what is needed are rare.
    bring_ohms: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Place {
    name: Name,
    /// What the lowest string loses; null for magnetic pickups.
    loss_db: Option<f64>,
    /// Where the top falls by 3 dB; null for others, and where it does not below 100 kHz.
    top_corner_hz: Option<f64>,
}

impl AdviceTold {
    /// # Panics
    /// Never: there is always something to say.
    pub fn new(advice: &Advice, words: &Words) -> Self {
        let sentences = advice.lines(words);
        let place = |index: &usize| {
            let (loss_db, top_hz) = match advice.outcomes[*index].merit {
                Merit::LossDb(db) => (Some(db), None),
                Merit::TopHz(hz) => (None, Some(hz)),
            };
            Place {
                name: advice.situation.setups[*index].name.clone(),
                loss_db: loss_db.filter(|db| db.is_finite()),
                top_corner_hz: top_hz.filter(|hz| hz.is_finite()),
            }
        };
        let (needed, bring_ohms) = match &advice.remedy {
            Remedy::Ask { needed, .. } => (Some(needed), None),
            Remedy::Bring { ohms, needed, .. } => (Some(needed), Some(*ohms)),
            Remedy::Enough | Remedy::Else(_) => (None, None),
        };
        Self {
            first: sentences[0].clone(),
            sentences,
            order: advice.order.iter().map(place).collect(),
            order_holds: advice.holds(),
            enough: advice.is_enough(),
            needed_ohms: needed.and_then(|needed| needed.from_ohms),
            bring_ohms,
        }
    }
}
