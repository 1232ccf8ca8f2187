use super::NameProblem;
use crate::circuit::{Link, LinkError};
use crate::preset::steers;
use crate::units::{Load, Problem};

/// The most letters of a name: what a line of a report and of a note has room for.
const LONGEST: usize = 60;

/// Words that mean something by themselves where loads and boxes are typed.
const GRAMMAR: [&str; 8] =
    ["none", "transformer", "usual", "cable", "buffered", "unbuffered", "active", "off"];

pub(super) fn is_grammar(word: &str) -> bool {
    GRAMMAR.iter().any(|known| word.eq_ignore_ascii_case(known))
}

/// Whether a text can be the name of a pickup or a box: it is seen whole, and means nothing else where loads, boxes and pickups are typed.
///
/// # Errors
/// With why it cannot.
pub fn check_name(name: &str) -> Result<(), NameProblem> {
    if name.trim().is_empty() {
        return Err(NameProblem::Empty);
    }
    if name.chars().any(steers) || name.trim() != name {
        return Err(NameProblem::Unseen(name.to_owned()));
    }
    let given = name.chars().count();
    if given > LONGEST {
        return Err(NameProblem::Long { given, accepted: LONGEST });
    }
    match meaning(name) {
        Some(meaning) => Err(NameProblem::Taken { name: name.to_owned(), meaning }),
        None => Ok(()),
    }
}

/// What a text means without a kit, with its article.
fn meaning(name: &str) -> Option<&'static str> {
    if name.contains("||") || name.contains('∥') {
        return Some("several parts of a load in parallel");
    }
    if name.starts_with('-') {
        return Some("an option");
    }
    let is_value = match Load::typed(name) {
        Ok(_) => true,
        // What starts with a number and ends in no unit is a name: "12-string bridge".
        Err(error) => !matches!(error.problem, Problem::NoNumber | Problem::UnitUnknown(_)),
    };
    if is_value {
        return Some("a value");
    }
    let mut words = name.split_whitespace();
    let first = words.next().unwrap_or_default();
    let last = words.next_back();
    let ends = ["buffered", "unbuffered", "active"];
    if is_grammar(first) || last.is_some_and(|last| ends.iter().any(|word| last.eq_ignore_ascii_case(word))) {
        return Some("a word that says what a load or a thru is");
    }
    match name.parse::<Link>() {
        Ok(_) => Some("a box and its input"),
        Err(LinkError::Value(error)) if matches!(error.problem, Problem::MetresOrMegohms(_)) => {
            Some("a box and its input")
        }
        Err(_) => None,
    }
}
