use thiserror::Error;

use crate::circuit::{ChainTooLarge, LinkError};

/// Why a text can be no name of a kit.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NameProblem {
    /// Nothing but spaces.
    #[error("a name is empty: give one of your own, such as \"our tuner\"")]
    Empty,
    /// Longer than a screen or a note has room for.
    #[error("a name has {given} letters: accepted are up to {accepted}")]
    Long {
        /// How many it has.
        given: usize,
        /// How many it may have.
        accepted: usize,
    },
    /// A character that steers or breaks the line that it stands in, or a space in front or behind.
    #[error(
        "the name '{0}' has what cannot be seen (a line break, a tab, a sign that steers, or a space at an end): leave that out"
    )]
    Unseen(String),
    /// It has another meaning where loads, boxes or pickups are typed.
    #[error(
        "the name '{name}' cannot be told from {meaning} where it is typed: give one that can, such as \"our {}\"",
        plain(name)
    )]
    Taken {
        /// The name.
        name: String,
        /// What it would be read as, with its article.
        meaning: &'static str,
    },
}

/// What cannot be done with a kit.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum KitError {
    /// A name that can be none.
    #[error(transparent)]
    Name(#[from] NameProblem),
    /// Another entry has that name.
    #[error("'{0}' is in the kit already")]
    There(String),
    /// A part of a load, or a box in front of one, that is neither a value nor in the kit.
    #[error("{}", unknown(name, near.as_deref(), error))]
    Unknown {
        /// What was typed.
        name: String,
        /// What was probably meant.
        near: Option<String>,
        /// Why it is no value.
        error: Box<LinkError>,
    },
    /// A pickup stands where a box should.
    #[error("'{0}' is a pickup of the kit, and a box or a value belongs here")]
    IsPickup(String),
    /// A box stands where a pickup should.
    #[error("'{0}' is a box of the kit, and a pickup belongs here")]
    IsBox(String),
    /// Two boxes of one load whose insides differ from their jacks.
    #[error(
        "'{one}' and '{other}' have each a transformer or a blocking capacitor, and one box of a load is listened to: say which comes first, \
         as in --first '{one} unbuffered' --load '{other}', or as a chain of a file of setups"
    )]
    TwoHeard {
        /// The first one.
        one: String,
        /// The other.
        other: String,
    },
    /// A load beyond what is computed.
    #[error(transparent)]
    TooLarge(ChainTooLarge),
    /// What no kit changes: a value that cannot be read.
    #[error(transparent)]
    Link(LinkError),
}

fn unknown(name: &str, near: Option<&str>, error: &LinkError) -> String {
    match near {
        Some(near) => format!("'{name}' is not in the kit: is it '{near}'?"),
        None => format!("{error}; nor is it a box of the kit"),
    }
}

/// Words in place of what is taken.
fn plain(name: &str) -> String {
    let words: String = name.chars().filter(|c| c.is_alphabetic() || *c == ' ').collect();
    let words =
        words.split_whitespace().filter(|word| word.chars().count() > 3 && !super::name::is_grammar(word));
    let words: Vec<&str> = words.collect();
    if words.is_empty() { "tuner".to_owned() } else { words.join(" ") }
}
