//! One listener's answer, once it is known to be one and to be about this page.

use serde_json::Value;
use thiserror::Error;

use super::page::{Page, is_permutation};
use super::{VERSION, text};

/// Trials of the longest run.
const MOST_TRIALS: usize = 1000;
/// Digits of a ballot's identity.
const BALLOT_DIGITS: usize = 16;

/// What a listener sent.
#[derive(Debug, Clone)]
pub struct Answer {
    /// As it is shown; empty without a name.
    pub listener: String,
    /// What tells this ballot from every other, made by chance when it was finished. `None` from pages that made none: what they have
    /// in common can be one ballot sent twice or two that are alike.
    pub ballot: Option<u64>,
    /// Where the page's chance came from.
    pub seed: u32,
    pub vote: Vote,
}

/// What a listener was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Vote {
    /// Is X the one or the other?
    Abx {
        /// A and B, counted as in [`Page::sounds`].
        sounds: [usize; 2],
        /// Whether the listener said B, trial by trial.
        said_b: Vec<bool>,
    },
    /// All sounds, the best first.
    Ranking(Vec<usize>),
}

/// Why an answer does not count.
#[derive(Debug, Error)]
pub enum AnswerError {
    #[error("cannot read it: {0}")]
    Read(#[from] std::io::Error),
    #[error("no answers in it; accepted are codes (fj1.…) and JSON, as the page gives them")]
    Nothing,
    #[error(
        "the code is cut short; accepted is all of it, from fj1. to the eight digits behind its second point"
    )]
    Code,
    #[error(
        "the code was changed on its way: its text has the checksum {found:08x}, not {given:08x}; ask for it again"
    )]
    Checksum { given: u32, found: u32 },
    #[error("it is not JSON: {0}; accepted are answers as the page gives them")]
    Json(serde_json::Error),
    #[error("it answers the pack {given}, and this page is {page}; give the page that it answers")]
    Pack { given: String, page: String },
    #[error("{field} is {given}; accepted is {accepted}")]
    Field { field: &'static str, given: String, accepted: String },
    #[error("the run at {first} has the same seed and other answers, and counts; accepted is one run a seed")]
    SameSeed { first: String },
    #[error(
        "the ballot at {first} has the same identity and says something else, and counts; accepted is what the page gave"
    )]
    SameBallot { first: String },
}

impl Answer {
    /// Reads what the page gave.
    pub fn new(json: &Value, page: &Page) -> Result<Self, AnswerError> {
        let field =
            |field, accepted: &str| Field { value: &json[field], field, accepted: accepted.to_owned() };
        let marker = field("firstjack", "\"answers\"");
        marker.when(|value| (value == "answers").then_some(()))?;
        let version = field("version", &VERSION.to_string());
        version.when(|value| (value.as_u64() == Some(VERSION)).then_some(()))?;
        let given = field("pack", "the name of a pack").when(Value::as_str)?;
        if given != page.pack {
            return Err(AnswerError::Pack { given: text::shown(given), page: page.pack.clone() });
        }
        let ballot = field("ballot", "16 digits 0-9 a-f, in quotation marks, or no ballot").when(ballot)?;
        let seed = field("seed", "one to eight digits 0-9 a-f, in quotation marks").when(seed)?;
        let listener = field("listener", "a name in quotation marks").when(Value::as_str)?;
        let vote = match field("kind", "\"abx\" or \"ranking\"").when(kind)? {
            Kind::Abx => {
                let sound = |key| field(key, &keys(page)).when(|value| page.find(value.as_str()?));
                let sounds = [sound("a")?, sound("b")?];
                let other = field("b", "another sound than a");
                other.when(|_| (sounds[0] != sounds[1]).then_some(()))?;
                let accepted = format!("1 to {MOST_TRIALS} letters a or b, one a trial");
                Vote::Abx { sounds, said_b: field("said", &accepted).when(said_b)? }
            }
            Kind::Ranking => {
                let accepted = format!("each of the {} sounds once: {}", page.sounds.len(), keys(page));
                Vote::Ranking(field("order", &accepted).when(|value| order(value, page))?)
            }
        };
        Ok(Self { listener: text::shown(listener), ballot, seed, vote })
    }
}

/// A field of an answer, and what may stand in it.
struct Field<'a> {
    value: &'a Value,
    field: &'static str,
    accepted: String,
}

impl<'a> Field<'a> {
    /// What `read` makes of it, or the error that says what was given.
    fn when<T>(self, read: impl FnOnce(&'a Value) -> Option<T>) -> Result<T, AnswerError> {
        read(self.value).ok_or_else(|| AnswerError::Field {
            field: self.field,
            given: if self.value.is_null() {
                "missing".to_owned()
            } else {
                text::shown(&self.value.to_string())
            },
            accepted: self.accepted,
        })
    }
}

enum Kind {
    Abx,
    Ranking,
}

fn kind(value: &Value) -> Option<Kind> {
    match value.as_str()? {
        "abx" => Some(Kind::Abx),
        "ranking" => Some(Kind::Ranking),
        _ => None,
    }
}

fn seed(value: &Value) -> Option<u32> {
    u32::from_str_radix(digits(value)?, 16).ok()
}

fn ballot(value: &Value) -> Option<Option<u64>> {
    if value.is_null() {
        return Some(None);
    }
    let digits = digits(value).filter(|digits| digits.len() == BALLOT_DIGITS)?;
    u64::from_str_radix(digits, 16).ok().map(Some)
}

/// A sign is none of the digits, whatever a conversion thinks.
fn digits(value: &Value) -> Option<&str> {
    value.as_str().filter(|digits| digits.bytes().all(|digit| digit.is_ascii_hexdigit()))
}

fn said_b(value: &Value) -> Option<Vec<bool>> {
    let letter = |letter| match letter {
        'a' => Some(false),
        'b' => Some(true),
        _ => None,
    };
    let said: Vec<bool> = value.as_str()?.chars().map(letter).collect::<Option<_>>()?;
    (1..=MOST_TRIALS).contains(&said.len()).then_some(said)
}

fn order(value: &Value, page: &Page) -> Option<Vec<usize>> {
    let order: Vec<usize> =
        value.as_array()?.iter().map(|key| page.find(key.as_str()?)).collect::<Option<_>>()?;
    (order.len() == page.sounds.len() && is_permutation(&order)).then_some(order)
}

/// The keys of all sounds, as they are held.
fn keys(page: &Page) -> String {
    page.held.iter().map(|sound| page.sounds[*sound].key.as_str()).collect::<Vec<_>>().join(", ")
}
