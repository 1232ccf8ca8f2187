//! A desk's equaliser, a low shelf and bells, and the settings of it that come closest to undoing a load.
//!
//! ```
//! use dsp_core::equaliser::{Band, Equaliser};
//!
//! let bands = vec![Band::low_shelf(120.0, 12.0), Band::bell(60.0, 6.0, 0.7)];
//! let equaliser = Equaliser::new(bands, 48_000.0)?;
//! assert!((equaliser.db(10.0) - 12.0).abs() < 0.5, "far below its corner a shelf has all of its gain");
//! let mut sound = [1.0, 0.0, 0.0, 0.0];
//! equaliser.channel().process(&mut sound);
//! assert!(sound[0] > 1.0);
//! # Ok::<(), dsp_core::equaliser::EqualiserError>(())
//! ```

mod band;
mod desk;
mod fit;
mod needed;
mod problem;
mod running;

pub use band::{Band, BandKind, SHELF_Q};
pub use desk::{Desk, DeskError, MOST_BELLS};
pub use fit::{ENOUGH_DB, Fit, fit};
pub use needed::{Needed, NoBand};
pub use running::{Equaliser, EqualiserChannel, EqualiserError};
