//! Pages and answers, version 1: what a page carries, what is sealed in it, what listeners send. Who writes and who reads have the
//! same types, so that neither can say what the other does not know. Nothing here reads anything but bytes that it is given, and
//! nothing knows what votes come to: [`all`] reads answers from any bytes.

mod answer;
mod data;
mod find;
mod page;
pub mod sequence;
pub mod text;

pub use answer::{Answer, AnswerError, Vote};
pub use data::{Data, Held, Kind, Named, Opened, Sealed, SealedSound, Sections, Voted, json};
pub use find::{Found, all};
pub use page::{Page, PageError, Sound};

/// The only version there is.
pub const VERSION: u64 = 1;
