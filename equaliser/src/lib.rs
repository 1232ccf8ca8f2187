//! A desk's equaliser, a low shelf and bells, and the settings of it that come closest to undoing a load.
//!
//! ```
//! use firstjack_equaliser::{Band, Equaliser};
//!
//! let bands = vec![Band::low_shelf(120.0, 12.0), Band::bell(60.0, 6.0, 0.7)];
//! let mut equaliser = Equaliser::new(bands, 48_000.0)?;
//! assert!((equaliser.db(10.0) - 12.0).abs() < 0.5, "far below its corner a shelf has all of its gain");
//! let mut sound = [1.0, 0.0, 0.0, 0.0];
//! equaliser.process(&mut sound);
//! assert!(sound[0] > 1.0);
//! # Ok::<(), firstjack_equaliser::EqualiserError>(())
//! ```

mod band;
mod desk;
mod error;
mod filters;
mod fit;
mod needed;
mod problem;
mod rounding;
mod steps;

pub use band::{Band, BandKind};
pub use desk::Desk;
pub use error::EqualiserError;
pub use filters::Equaliser;
pub use fit::Fit;
pub use needed::Needed;
pub use steps::Series;
