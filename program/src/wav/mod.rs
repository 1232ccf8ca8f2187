//! WAV in and out, in blocks. `hound` reads and writes the formats; samples are converted here a block at a
//! time, since the sample-by-sample interface would cost more than all the rest of a rendering.

mod chunks;
mod format;
mod reader;
mod writer;

pub use format::{Encoding, Format};
pub use reader::TakeReader;
pub use writer::{TakeWriter, check_length, file_bytes};
