use std::fmt;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::target::Target;
use crate::error::megabytes;

/// What a run reads and writes; the JSON's fields.
#[derive(Serialize)]
pub struct Announcement<'a> {
    dry_run: bool,
    reads: Vec<Read<'a>>,
    writes: Vec<Write<'a>>,
}

#[derive(Serialize)]
struct Read<'a> {
    file: &'a Path,
    #[serde(rename = "as")]
    is: &'static str,
}

#[derive(Serialize)]
struct Write<'a> {
    file: &'a Path,
    /// Whether there is one that it replaces.
    replaces: bool,
    /// About; null where that is known only once it is made.
    bytes: Option<u64>,
    /// Of sound; null where there is none.
    seconds: Option<f64>,
}

impl<'a> Announcement<'a> {
    pub fn new(inputs: &'a [(PathBuf, &'static str)], targets: &'a [Target]) -> Self {
        let write = |target: &'a Target| Write {
            file: target.path(),
            replaces: target.path().exists(),
            bytes: target.expected().bytes,
            seconds: target.expected().seconds,
        };
        Self {
            dry_run: true,
            reads: inputs.iter().map(|(file, is)| Read { file, is }).collect(),
            writes: targets.iter().map(write).collect(),
        }
    }

    pub fn json(&self) -> String {
        serde_json::to_string_pretty(self).expect("numbers, texts and lists of them") + "\n"
    }
}

impl fmt::Display for Announcement<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for Read { file, is } in &self.reads {
            writeln!(f, "reads {} ({is})", file.display())?;
        }
        for Write { file, replaces, bytes, seconds } in &self.writes {
            write!(f, "{} {}", if *replaces { "replaces" } else { "writes" }, file.display())?;
            if let Some(seconds) = seconds {
                write!(f, ", {seconds:.1} s")?;
            }
            if let Some(bytes) = bytes {
                write!(f, ", {}", megabytes(*bytes))?;
            }
            writeln!(f)?;
        }
        Ok(())
    }
}
