//! Circuits that resonate without loss: there are none, so they are refused where they are read, and the part is named whose loss is
//! missing.

use std::fmt;

use thiserror::Error;

use super::{Shape, Transfer};
use crate::circuit::{Chain, Input, InputBox, Link, Pickups};
use crate::polynomial::{Root, Roots};
use crate::units::Inductance;

/// A resonance of a higher quality factor is one without loss: at 100 Hz it would take an hour to die away, and stand out by 120 dB.
/// Coils with a core have some tens (common practice, no source).
const HIGHEST_Q: f64 = 1e6;

/// A circuit that resonates without loss.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{part} resonates at {hz:.1} Hz without loss, as nothing real does: give {}", part.accepted())]
pub struct Lossless {
    /// The part whose loss is missing.
    pub part: LosslessPart,
    /// Where it resonates, in Hz.
    pub hz: f64,
}

/// A part whose loss is missing.
#[derive(Debug, Clone, PartialEq)]
pub enum LosslessPart {
    /// An inductance of a load expression.
    Bare(Inductance),
    /// The transformer of a box, by the box's name.
    Transformer(String),
    /// A coil, by its inductance.
    Coil(Inductance),
}

impl LosslessPart {
    const fn accepted(&self) -> &'static str {
        match self {
            Self::Bare(_) => {
                "its winding's resistance, which a file of setups says as transformer = { ..., winding = \"1k5\", ... }, or what \
                 stands beside it, as in 50 H || 100k"
            }
            Self::Transformer(_) => {
                "its winding's resistance (winding = \"1k5\"), the losses of its core (core = \"470k\") or a lower load"
            }
            Self::Coil(_) => {
                "the resistance of its winding as it is measured (resistance = \"8k2\"), or its losses (loss = \"470k\")"
            }
        }
    }
}

impl fmt::Display for LosslessPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Bare(henries) => write!(f, "an inductance of {henries}"),
            Self::Transformer(name) => write!(f, "the transformer of '{name}'"),
            Self::Coil(henries) => write!(f, "the coil of {henries}"),
        }
    }
}

/// Whether `pickups` into `chain` are a circuit that can be: nothing resonates without loss, nor would if the load were undone.
///
/// # Errors
/// If something does.
pub fn check_losses(pickups: &Pickups, chain: &Chain) -> Result<(), Lossless> {
    for index in 0..pickups.count() {
        let transfer = Transfer::of(pickups, index, chain);
        let hz = lossless_hz(&transfer.poles()).or_else(|| lossless_hz(&transfer.zeros()));
        if let Some((hz, part)) = hz.zip(culprit(pickups, chain)) {
            return Err(Lossless { part, hz });
        }
    }
    Ok(())
}

impl Shape {
    /// Whether it would ring for ever. No circuit that [`check_losses`] lets pass makes such a shape; values that are turned may.
    pub fn is_lossless(&self) -> bool {
        lossless_hz(&self.poles).is_some()
    }
}

fn lossless_hz(roots: &Roots) -> Option<f64> {
    let rings = |root: &&Root| !root.is_real() && root.q() > HIGHEST_Q;
    roots.iter().find(rings).map(|root| root.natural_rad_s() / std::f64::consts::TAU)
}

/// The first inductance without any loss of its own: of the chain, or else the coil; or else the first transformer.
fn culprit(pickups: &Pickups, chain: &Chain) -> Option<LosslessPart> {
    let of_chain = |any: bool| part_of(chain, any);
    let coil = (0..pickups.count()).find_map(|index| pickups.pickup(index).coil());
    of_chain(false)
        .or_else(|| coil.map(|coil| LosslessPart::Coil(coil.inductance)))
        .or_else(|| of_chain(true))
}

/// An inductance of a chain or its branches, one without any loss of its own unless `any` may be it.
fn part_of(chain: &Chain, any: bool) -> Option<LosslessPart> {
    chain.loading().find_map(|link| match link {
        Link::Inductance(henries) => Some(LosslessPart::Bare(*henries)),
        Link::Box(InputBox { name, input: Input::Transformer(transformer), .. }) => {
            let lossless = transformer.winding.is_none() && transformer.core.is_none();
            (any || lossless).then(|| LosslessPart::Transformer(name.clone()))
        }
        Link::Splitter(splitter) => part_of(&splitter.branch, any),
        _ => None,
    })
}
