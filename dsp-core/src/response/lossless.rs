//! Circuits that resonate without loss: there are none, so they are refused where they are read, and the part is named whose loss is
//! missing.

use thiserror::Error;

use super::{Shape, Transfer};
use crate::circuit::{Chain, Input, InputBox, Link, Pickups};
use crate::polynomial::{Root, Roots};
use crate::units::Inductance;

/// A resonance of a higher quality factor is one without loss: at 100 Hz it would take an hour to die away, and stand out by 120 dB.
/// Coils with a core have some tens (common practice, no source).
const HIGHEST_Q: f64 = 1e6;

/// A circuit that resonates without loss, by the part whose loss is missing and where it resonates, in Hz.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Lossless {
    /// An inductance of a load expression.
    #[error(
        "an inductance of {0} resonates at {1:.1} Hz without loss, as nothing real does: give its winding's resistance, which a file of \
         setups says as transformer = {{ ..., winding = \"1k5\", ... }}, or what stands beside it, as in 50 H || 100k"
    )]
    Bare(Inductance, f64),
    /// The transformer of a box, by the box's name.
    #[error(
        "the transformer of '{0}' resonates at {1:.1} Hz without loss, as nothing real does: give its winding's resistance \
         (winding = \"1k5\"), the losses of its core (core = \"470k\") or a lower load"
    )]
    Transformer(String, f64),
    /// A coil, by its inductance.
    #[error(
        "the coil of {0} resonates at {1:.1} Hz without loss, as nothing real does: give the resistance of its winding as it is measured \
         (resistance = \"8k2\"), or its losses (loss = \"470k\")"
    )]
    Coil(Inductance, f64),
}

impl Pickups {
    /// Whether they are, into `chain`, a circuit that can be: nothing resonates without loss, nor would if the load were undone.
    ///
    /// # Errors
    /// If something does.
    pub fn check_losses(&self, chain: &Chain) -> Result<(), Lossless> {
        for index in 0..self.count() {
            let transfer = Transfer::of(self, index, chain);
            let hz = lossless_hz(&transfer.poles()).or_else(|| lossless_hz(&transfer.zeros()));
            if let Some(error) = hz.and_then(|hz| culprit(self, chain, hz)) {
                return Err(error);
            }
        }
        Ok(())
    }
}

impl Shape {
    /// Whether it would ring for ever. No circuit that [`Pickups::check_losses`] lets pass makes such a shape; values that are turned may.
    pub fn is_lossless(&self) -> bool {
        lossless_hz(&self.poles).is_some()
    }
}

fn lossless_hz(roots: &Roots) -> Option<f64> {
    let rings = |root: &&Root| !root.is_real() && root.q() > HIGHEST_Q;
    roots.iter().find(rings).map(|root| root.natural_rad_s() / std::f64::consts::TAU)
}

/// The first inductance without any loss of its own: of the chain, or else the coil; or else the first transformer.
fn culprit(pickups: &Pickups, chain: &Chain, hz: f64) -> Option<Lossless> {
    let of_chain = |any: bool| part_of(chain, any, hz);
    let coil = (0..pickups.count()).find_map(|index| pickups.pickup(index).coil());
    of_chain(false)
        .or_else(|| coil.map(|coil| Lossless::Coil(coil.inductance, hz)))
        .or_else(|| of_chain(true))
}

/// An inductance of a chain or its branches, one without any loss of its own unless `any` may be it.
fn part_of(chain: &Chain, any: bool, hz: f64) -> Option<Lossless> {
    chain.loading().find_map(|link| match link {
        Link::Inductance(henries) => Some(Lossless::Bare(*henries, hz)),
        Link::Box(InputBox { name, input: Input::Transformer(transformer), .. }) => {
            let lossless = transformer.winding.is_none() && transformer.core.is_none();
            (any || lossless).then(|| Lossless::Transformer(name.clone(), hz))
        }
        Link::Splitter(splitter) => part_of(&splitter.branch, any, hz),
        _ => None,
    })
}
