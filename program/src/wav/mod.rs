//! WAV in and out, in blocks. `hound` reads and writes the headers; samples are converted here a block at a
//! time, since the sample-by-sample interface would cost more than all the rest of a rendering.

mod format;
mod reader;
mod writer;

pub use format::{Encoding, Format};
pub use reader::TakeReader;
pub use writer::{TakeWriter, check_target, publish, temporary};
