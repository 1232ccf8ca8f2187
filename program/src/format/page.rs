//! What votes need to know of a page: which pack it is, and what its sounds are called.

use std::io::{self, Read};

use serde::Serialize;
use thiserror::Error;

use super::data::{Held, Kind, Named, Sealed, Voted};
use super::sequence::{self, SealError};
use super::{VERSION, text};

const BEGIN: &str = r#"<script type="application/json" id="data">"#;
const END: &str = "</script>";

/// Data lie before the sounds, which may be long.
const MOST_BYTES: u64 = 64 << 20;

/// A page, as far as votes are concerned.
#[derive(Debug)]
pub struct Page {
    /// Its name, 16 hexadecimal digits.
    pub pack: String,
    /// As recorded, setups in their file's order, rescues, anchor.
    pub sounds: Vec<Sound>,
    /// The same, counted in `sounds`, in the order in which the page holds them: labels count those.
    pub held: Vec<usize>,
}

/// What can be voted on.
#[derive(Debug, Clone, Serialize)]
pub struct Sound {
    pub key: String,
    pub name: String,
    pub kind: Kind,
}

/// Why a page cannot be used.
#[derive(Debug, Error)]
pub enum PageError {
    #[error("cannot read it: {0}")]
    Read(#[from] io::Error),
    #[error("it has no data of a pack; accepted are pages made by firstjack pack")]
    NoData,
    #[error("its data are cut short; accepted are whole pages made by firstjack pack")]
    Cut,
    #[error("its data: {0}")]
    Json(#[from] serde_json::Error),
    #[error("it is of version {0}; accepted is {VERSION}")]
    Version(u64),
    #[error("{0}")]
    Sealed(#[from] SealError),
    #[error("its sounds are not those that are sealed; accepted are pages made by firstjack pack")]
    Sounds,
}

impl Page {
    /// Reads a file as far as its data go.
    pub fn read(file: impl Read) -> Result<Self, PageError> {
        Self::new(&data(file)?)
    }

    fn new(json: &str) -> Result<Self, PageError> {
        let data: Voted = serde_json::from_str(json)?;
        if data.version != VERSION {
            return Err(PageError::Version(data.version));
        }
        let mut sealed: Sealed<Named> = serde_json::from_str(&sequence::open(&data.pack, &data.sealed)?)?;
        let named = |key: String| {
            let Named { name, kind } = sealed.sounds.remove(&key)?;
            // They are shown where an answer has another.
            let is_plain = key.bytes().all(|character| character.is_ascii_alphanumeric());
            is_plain.then(|| Sound { key, name: text::shown(&name), kind })
        };
        let sounds: Option<Vec<Sound>> = sealed.order.into_iter().map(named).collect();
        let sounds = sounds.ok_or(PageError::Sounds)?;
        let at = |held: &Held| sounds.iter().position(|sound| sound.key == held.key);
        let held: Option<Vec<usize>> = data.sounds.iter().map(at).collect();
        let held = held.ok_or(PageError::Sounds)?;
        if held.len() != sounds.len() || !is_permutation(&held) {
            return Err(PageError::Sounds);
        }
        Ok(Self { pack: data.pack, sounds, held })
    }

    /// A sound by its key.
    pub fn find(&self, key: &str) -> Option<usize> {
        self.sounds.iter().position(|sound| sound.key == key)
    }

    /// All sounds of a kind.
    pub fn all(&self, kind: Kind) -> Vec<usize> {
        (0..self.sounds.len()).filter(|sound| self.sounds[*sound].kind == kind).collect()
    }

    /// The first sound of a kind.
    pub fn first(&self, kind: Kind) -> Option<usize> {
        self.sounds.iter().position(|sound| sound.kind == kind)
    }
}

/// Whether each of as many numbers, from zero on, is there.
pub fn is_permutation(numbers: &[usize]) -> bool {
    (0..numbers.len()).all(|number| numbers.contains(&number))
}

/// The JSON between its tags, without reading on into the sounds.
fn data(file: impl Read) -> Result<String, PageError> {
    let mut file = file.take(MOST_BYTES);
    let mut read = Vec::new();
    loop {
        let before = read.len();
        let more = before.max(1 << 20) as u64;
        file.by_ref().take(more).read_to_end(&mut read)?;
        let begin = find(&read, BEGIN).map(|at| at + BEGIN.len());
        if let Some(begin) = begin
            && let Some(length) = find(&read[begin..], END)
        {
            return Ok(String::from_utf8_lossy(&read[begin..begin + length]).into_owned());
        }
        if read.len() == before {
            return Err(if begin.is_some() { PageError::Cut } else { PageError::NoData });
        }
    }
}

fn find(bytes: &[u8], wanted: &str) -> Option<usize> {
    bytes.windows(wanted.len()).position(|window| window == wanted.as_bytes())
}
