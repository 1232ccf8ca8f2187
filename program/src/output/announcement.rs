use std::fmt;
use std::path::PathBuf;

use serde::Serialize;

use crate::name::Name;

use super::target::Target;
use crate::error::megabytes;

/// What a run reads and writes; the JSON's fields.
#[derive(Serialize)]
pub struct Announcement {
    dry_run: bool,
    reads: Vec<Read>,
    writes: Vec<Write>,
}

#[derive(Serialize)]
struct Read {
    file: Name,
    #[serde(rename = "as")]
    is: &'static str,
}

#[derive(Serialize)]
struct Write {
    file: Name,
    /// Whether there is one that it replaces.
    replaces: bool,
    /// About; null where that is known only once it is made.
    bytes: Option<u64>,
    /// Of sound; null where there is none.
    seconds: Option<f64>,
}

impl Announcement {
    pub fn new(inputs: &[(PathBuf, &'static str)], targets: &[Target]) -> Self {
        let write = |target: &Target| Write {
            file: Name::of(target.path()),
            replaces: target.path().exists(),
            bytes: target.expected().bytes,
            seconds: target.expected().seconds,
        };
        Self {
            dry_run: true,
            reads: inputs.iter().map(|(file, is)| Read { file: Name::of(file), is }).collect(),
            writes: targets.iter().map(write).collect(),
        }
    }

    pub fn json(&self) -> String {
        crate::stdout::json(self)
    }
}

impl fmt::Display for Announcement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for Read { file, is } in &self.reads {
            writeln!(f, "reads {} ({is})", file)?;
        }
        for Write { file, replaces, bytes, seconds } in &self.writes {
            write!(f, "{} {}", if *replaces { "replaces" } else { "writes" }, file)?;
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
