//! Where a person's kit lies, and changes to it that lose nothing: neither comments of the person's, nor what another run writes at the
//! same time, nor the file when the machine stops.
//!
//! What a kit says is known to [`dsp_core::kit`], which knows no files.

mod claim;
mod draft;
mod error;
mod file;
mod lock;
pub mod named;

pub use claim::Claim;
pub use draft::Draft;
pub use error::{DraftError, KitFileError};
pub use file::KitFile;
