//! The physics and the signal path of Firstjack: what a load does to a pickup, and how to apply it
//! to, or take it back from, a recording.
//!
//! Data flows one way: [`units`] (what the trade writes) to [`circuit`] (pickup, boxes, cables) to
//! [`response`] (exact transfer functions and losses) to [`filter`] (digital sections with a bound on
//! their error) to [`processor`] (sound). [`loudness`] predicts the level of a setup before it is heard;
//! [`preset`] reads and writes the file formats, [`kit`] that of a person's own pickups and boxes. No module does input or output.
//!
//! ```
//! use dsp_core::circuit::{Chain, Pickup};
//! use dsp_core::response::Transfer;
//! use dsp_core::units::Load;
//!
//! // A 680 pF pickup into an amplifier of 470 kΩ, with a 1 MΩ tuner in parallel.
//! let pickup = Pickup::new("680p".parse()?);
//! let chain = Chain::from(&"470k || 1M".parse::<Load>()?);
//! let transfer = Transfer::new(&pickup.into(), &chain);
//! assert_eq!((transfer.highest_natural_hz() * 10.0).round() / 10.0, 732.0);
//! assert_eq!((transfer.loss_db(55.0) * 10.0).round() / 10.0, 22.5);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod circuit;
pub mod filter;
pub mod kit;
mod limits;
pub mod loudness;
mod polynomial;
pub mod preset;
pub mod processor;
pub mod response;
pub mod units;
