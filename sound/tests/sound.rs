//! Sources and sinks against files from first principles, against other programs, and against files that lie.

mod cut;
mod hostile;
mod judges;
mod long;
mod metadata;
mod mp3;
#[path = "../../tests/rust/needs.rs"]
mod needs;
mod plain;
mod support;
