//! Everything that Firstjack says of figures, each sentence once for each language: for reports, page, note and window. One file a
//! language beside `src`, part of the build; a text is found by its id, and what follows from figures (verdicts, facts, what to ask
//! for) is said by templates of the same files.
//!
//! ```
//! use dsp_core::circuit::{Chain, Pickup};
//! use dsp_core::response::Response;
//! use firstjack_words::Words;
//!
//! let (pickup, tuner) = (Pickup::new("680p".parse()?).into(), Chain::from(&"1M".parse()?));
//! let (words, lowest) = (Words::ENGLISH, "A1".parse()?);
//! let verdict = words.verdict(&Response::new(&pickup, &tuner), &lowest, 55.0, &words.through("tuner"));
//! assert_eq!(verdict, "low A loses 13 dB through the tuner");
//! # Ok::<(), dsp_core::units::UnitError>(())
//! ```

mod facts;
mod figures;
mod kit;
mod sentences;
pub mod signed;
#[cfg(test)]
mod tests;
mod visible;

use std::collections::BTreeMap;
use std::sync::LazyLock;

pub use figures::{ByHum, NoHigher};
pub use visible::{visible, visible_but, visible_json};

/// A language that ships.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "clap", derive(clap::ValueEnum))]
pub enum Language {
    /// English
    #[default]
    #[cfg_attr(feature = "clap", value(name = "en"))]
    English,
    /// German
    #[cfg_attr(feature = "clap", value(name = "de"))]
    German,
}

impl Language {
    /// Those that ship.
    pub const ALL: [Self; 2] = [Self::English, Self::German];
}

/// The texts of one language.
#[derive(Debug, Clone, Copy)]
pub struct Words(Language);

/// Texts by id: table, point, name.
type Texts = BTreeMap<String, String>;

static ENGLISH: LazyLock<Texts> = LazyLock::new(|| texts(include_str!("../en.toml")));
static GERMAN: LazyLock<Texts> = LazyLock::new(|| texts(include_str!("../de.toml")));

/// # Panics
/// Never: the files are part of the build, and a test reads them.
fn texts(file: &str) -> Texts {
    let tables: BTreeMap<String, Texts> = toml::from_str(file).expect("the files of words are tested");
    let of_table = |(table, texts): (String, Texts)| {
        texts.into_iter().map(move |(name, text)| (format!("{table}.{name}"), text))
    };
    tables.into_iter().flat_map(of_table).collect()
}

impl Words {
    /// In English, as the program's reports and the window are.
    pub const ENGLISH: Self = Self(Language::English);

    /// In a language.
    pub const fn new(language: Language) -> Self {
        Self(language)
    }

    fn texts(&self) -> &'static Texts {
        match self.0 {
            Language::English => &ENGLISH,
            Language::German => &GERMAN,
        }
    }

    /// A text by its id, such as `note.title`. A test finds every id that the code asks for, in every file; were one missing, its
    /// place would stay empty.
    pub fn get(&self, id: &str) -> &'static str {
        self.texts().get(id).map_or("", String::as_str)
    }

    /// A text with its names in braces filled in. What is filled in is left as it is, braces too, but for what is not [`visible`].
    pub fn say(&self, id: &str, values: &[(&str, &str)]) -> String {
        let mut said = String::new();
        for piece in pieces(self.get(id)) {
            let value = |name| values.iter().find(|(known, _)| *known == name).map(|(_, value)| *value);
            match piece {
                Piece::Plain(text) => said += text,
                Piece::Name(name) => {
                    debug_assert!(value(name).is_some(), "{id} has nothing for {name}");
                    fill_in(&mut said, &visible(value(name).unwrap_or_default()));
                }
            }
        }
        said
    }

    /// All texts whose id begins with `prefix`, by what follows it.
    pub fn all<'a>(&self, prefix: &'a str) -> impl Iterator<Item = (&'static str, &'static str)> + use<'a> {
        let rest = move |(id, text): (&'static String, &'static String)| {
            id.strip_prefix(prefix).map(|rest| (rest, text.as_str()))
        };
        self.texts().iter().filter_map(rest)
    }

    /// The language's tag (BCP 47).
    pub fn language(&self) -> &'static str {
        self.get("language.code")
    }
}

/// Words that stand in place of an article.
const OWNERS: [&str; 7] = ["our", "my", "your", "his", "her", "their", "the"];

/// Adds what is filled in; a name that says whose it is needs no article: "through our tuner", "Our tuner is ...".
fn fill_in(said: &mut String, value: &str) {
    let first = value.split_whitespace().next().unwrap_or_default();
    let is_owner = OWNERS.iter().any(|owner| first.eq_ignore_ascii_case(owner));
    let is_owned = is_owner && value.starts_with(first) && value != first;
    let text = said.strip_suffix("the ").or(said.strip_suffix("The ")).map(str::len);
    let begins = text.filter(|at| is_owned && !said[..*at].ends_with(char::is_alphabetic));
    let Some(at) = begins else {
        *said += value;
        return;
    };
    let is_capital = said[at..].starts_with('T');
    said.truncate(at);
    let (head, tail) = value.split_at(1);
    *said += &if is_capital { head.to_ascii_uppercase() } else { head.to_owned() };
    *said += tail;
}

/// A part of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Piece<'a> {
    Plain(&'a str),
    /// What stands in braces.
    Name(&'a str),
}

fn pieces(text: &str) -> impl Iterator<Item = Piece<'_>> {
    text.split('{').enumerate().flat_map(|(index, part)| {
        let (name, plain) = match part.split_once('}') {
            Some((name, plain)) if index > 0 => (Some(Piece::Name(name)), plain),
            _ => (None, part),
        };
        name.into_iter().chain([Piece::Plain(plain)])
    })
}
