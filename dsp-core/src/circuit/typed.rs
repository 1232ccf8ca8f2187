//! One link of a chain as a person types it: `tuner 1M buffered`, `passive box transformer 140k`, `6 m`.

use std::str::FromStr;

use thiserror::Error;

use super::{Cable, InputBox, Link, Thru};
use crate::units::{Load, LoadPart, Problem, UnitError};

/// The most words of a value: `transformer 100 kΩ to 200 kΩ`, and `transformer 140 kΩ ± 20 %`.
const WORDS_OF_A_VALUE: usize = 6;

/// A link that cannot be read.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LinkError {
    /// Neither a box nor a cable.
    #[error(
        "'{0}' has no input in it: a box is its name, its input and what its thru is, such as tuner 1M buffered, fuzz 22k active or \
         passive box transformer 140k; a cable is its length, such as 6 m"
    )]
    NoInput(String),
    /// The value cannot be read.
    #[error("{0}")]
    Value(Box<UnitError>),
    /// Something follows a box that does not say whether it loads the pickup.
    #[error(
        "something follows '{0}', so it needs a word: buffered (what follows does not load the pickup), unbuffered (its thru is its input) or \
         active (a pedal that is on). To find out, play, listen to its other output and unplug what follows: does the sound change? Then it \
         is unbuffered. So is a box that passes sound without power"
    )]
    NoThru(String),
}

impl From<UnitError> for LinkError {
    fn from(error: UnitError) -> Self {
        Self::Value(Box::new(error))
    }
}

impl Link {
    /// Whether what follows has a place: behind a cable, or behind a box that says what its thru is.
    ///
    /// # Errors
    /// With [`LinkError::NoThru`] if it has none.
    pub fn check_followed(&self) -> Result<(), LinkError> {
        match self {
            Self::Box(InputBox { name, thru: None, .. }) => Err(LinkError::NoThru(name.clone())),
            _ => Ok(()),
        }
    }
}

/// Reads a cable by its length, or a box: a name, an input in ohms or `transformer` with a nominal one, and `buffered`, `unbuffered` or
/// `active`; nothing, where nothing follows. A box without a name is called by its input.
///
/// ```
/// use dsp_core::circuit::{Link, Thru};
/// let Ok(Link::Box(tuner)) = "tuner 1M buffered".parse() else { panic!() };
/// assert_eq!((tuner.name.as_str(), tuner.thru), ("tuner", Some(Thru::After)));
/// assert!(matches!("6 m".parse(), Ok(Link::Cable(_))));
/// ```
impl FromStr for Link {
    type Err = LinkError;

    fn from_str(text: &str) -> Result<Self, LinkError> {
        let (said, thru) = split_thru(text.trim());
        let starts: Vec<usize> = words(said).collect();
        let values = &starts[starts.len().saturating_sub(WORDS_OF_A_VALUE)..];
        let mut error = LinkError::NoInput(text.trim().to_owned());
        if said.contains("||") || said.contains('∥') {
            return Err(error);
        }
        for start in values {
            let (name, value) = (said[..*start].trim(), &said[*start..]);
            match Load::typed(value).map(|load| load.parts().to_vec()).as_deref() {
                Ok([LoadPart::Cable(length)]) if thru.is_none() && (name.is_empty() || is(name, "cable")) => {
                    return Ok(Self::Cable(Cable::new(*length)));
                }
                Ok([LoadPart::Cable(length)]) => return Err(metres(value, length.metres()).into()),
                Ok([part @ LoadPart::Resistance(input)]) => {
                    let name = called(name, part);
                    return Ok(Self::Box(InputBox { thru, ..InputBox::new(name, *input) }));
                }
                Ok([part @ LoadPart::Transformer(nominal)]) => {
                    let name = called(name, part);
                    return Ok(Self::Box(InputBox { thru, ..InputBox::usual(name, *nominal) }));
                }
                Ok(_) => {}
                Err(problem) if is_transformer(value) => return Err(problem.clone().into()),
                // The first value that says what is wrong with it.
                Err(problem) if matches!(error, LinkError::NoInput(_)) && begins_with_a_digit(value) => {
                    error = problem.clone().into();
                }
                Err(_) => {}
            }
        }
        Err(error)
    }
}

/// What follows a box, by the last word.
pub(crate) fn split_thru(text: &str) -> (&str, Option<Thru>) {
    let Some(last) = words(text).last() else { return (text, None) };
    let word = &text[last..];
    let words = [("buffered", Thru::After), ("unbuffered", Thru::Before), ("active", Thru::Active)];
    match words.iter().find(|(known, _)| is(word, known)) {
        Some((_, thru)) => (text[..last].trim_end(), Some(*thru)),
        None => (text, None),
    }
}

/// Where words begin.
fn words(text: &str) -> impl Iterator<Item = usize> {
    let mut after_space = true;
    text.char_indices().filter_map(move |(at, c)| {
        let begins = after_space && !c.is_whitespace();
        after_space = c.is_whitespace();
        begins.then_some(at)
    })
}

fn is(text: &str, word: &str) -> bool {
    text.eq_ignore_ascii_case(word)
}

fn begins_with_a_digit(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_digit())
}

fn is_transformer(text: &str) -> bool {
    text.split_once(' ')
        .is_some_and(|(word, value)| is(word, "transformer") && begins_with_a_digit(value.trim()))
}

fn called(name: &str, input: &LoadPart) -> String {
    if name.is_empty() { input.to_string() } else { name.to_owned() }
}

/// A box whose input is a length.
fn metres(read: &str, metres: f64) -> UnitError {
    UnitError {
        read: read.to_owned(),
        quantity: "the input of a box",
        problem: Problem::MetresOrMegohms(metres.to_string()),
        accepted: "1M, 470k, transformer 140k",
    }
}
