use thiserror::Error;

use super::check::link_place;
use crate::circuit::{ChainTooLarge, LinkError};
use crate::kit::NameProblem;
use crate::response::Lossless;

/// A preset file that could not be read: what is wrong, and where.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}{problem}", at(*line))]
pub struct PresetError {
    /// The line of the file, counted from 1, if it is one line's fault.
    pub line: Option<usize>,
    /// What is wrong.
    pub problem: PresetProblem,
}

/// What is wrong with a preset file. A `place` is what a person would call it: "setup 'combo', link 2"; empty for the file itself.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PresetProblem {
    /// Not TOML.
    #[error("cannot read {written}: {}", instead.as_ref().map_or_else(|| problem.clone(), |instead| format!("write {instead}")))]
    Syntax {
        /// The line as it is written.
        written: String,
        /// What the reader of TOML says.
        problem: String,
        /// What was probably meant.
        instead: Option<String>,
    },
    /// What no other kind of problem names; the message says where.
    #[error("{0}")]
    Text(String),
    /// The file does not say its version.
    #[error("version is missing: write version = {accepted} as the first line")]
    NoVersion {
        /// The latest version that this program reads.
        accepted: i64,
    },
    /// The file's version is not known here.
    #[error(
        "version = {found} is not known: accepted are 1 to {accepted} (a later Firstjack may have written it)"
    )]
    Version {
        /// The version found.
        found: i64,
        /// The latest version that this program reads.
        accepted: i64,
    },
    /// A file has a field that came with a later version than it says.
    #[error("version = {found} has no `{field}`: accepted with version = {since}")]
    NewerField {
        /// The version found.
        found: i64,
        /// The field.
        field: &'static str,
        /// The version that it came with.
        since: i64,
    },
    /// A file does not say what was recorded, which its version asks for.
    #[error(
        "recorded is missing, which version = {found} needs: write recorded = {{ load = \"22M\" }}, what the take was recorded through, \
         or version = {since}, which needs it only where sound is made"
    )]
    NoRecorded {
        /// The version found.
        found: i64,
        /// The version that goes without.
        since: i64,
    },
    /// A field that no such table has.
    #[error("{}{field} is not known here: {}", within(place), meant(near.as_deref(), known))]
    Unknown {
        /// The table.
        place: String,
        /// The field.
        field: String,
        /// What was probably meant.
        near: Option<String>,
        /// What it may have.
        known: Vec<&'static str>,
    },
    /// A field of the file itself within a table.
    #[error("{}{field} belongs to the file: write it above the first line in [brackets]", within(place))]
    OfFile {
        /// The table.
        place: String,
        /// The field.
        field: String,
    },
    /// A table lacks a field.
    #[error("{}{field} is missing: write {example} ({about})", within(place))]
    Missing {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// How it may be written.
        example: String,
        /// What it says.
        about: &'static str,
    },
    /// A table has none, or several, of fields of which it needs one.
    #[error("{}give {} {}", within(place), if *is_both { "only one of" } else { "either" }, fields.join(" or "))]
    Either {
        /// The table.
        place: String,
        /// Whether it has several.
        is_both: bool,
        /// How they may be written.
        fields: Vec<String>,
    },
    /// A table is nothing that it may be.
    #[error("{}accepted are {}", within(place), accepted.join(", or "))]
    NoKind {
        /// The table.
        place: String,
        /// What it may be, by the fields that it needs.
        accepted: Vec<String>,
    },
    /// A table of one kind has a field of another.
    #[error("{}{field} belongs to {of}, and this is {is}", within(place))]
    Mixed {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// Whose field it is.
        of: &'static str,
        /// What the table is.
        is: &'static str,
    },
    /// A field holds another kind of value than a text, a number, a table or a list.
    #[error("{}{field} cannot be {given}: accepted is such as {field} = {example}", within(place))]
    Type {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// What it holds.
        given: String,
        /// How it may be written.
        example: String,
    },
    /// A quantity, or a link of a chain in one text, that cannot be read.
    #[error("{}{field}: {error}", within(place))]
    Value {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// What is wrong.
        error: Box<LinkError>,
    },
    /// A word that is none of those accepted.
    #[error("{}{field} = \"{given}\" is not known: accepted are {}", within(place), accepted.join(", "))]
    Choice {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// What it holds.
        given: String,
        /// What it may hold.
        accepted: Vec<&'static str>,
    },
    /// One table where there may be several.
    #[error("[{field}] is a single table: write [[{field}]], in double brackets, above each")]
    OneTable {
        /// The table.
        field: &'static str,
    },
    /// Several tables where there is one.
    #[error("there is one {field} only: write [{field}], in single brackets")]
    ManyTables {
        /// The table.
        field: &'static str,
    },
    /// A blend of other than two pickups.
    #[error("there are {found} [[blend]] tables: give two, one for each of two pickups that share a jack")]
    BlendOf {
        /// How many there are.
        found: usize,
    },
    /// A chain beyond what is computed.
    #[error("{place}: {error}")]
    TooLarge {
        /// Which setup, or `recorded`.
        place: String,
        /// How large it is.
        error: ChainTooLarge,
    },
    /// A circuit that resonates without loss.
    #[error("{place}: {error}")]
    Lossless {
        /// Which setup, or `recorded`.
        place: String,
        /// What resonates.
        error: Lossless,
    },
    /// No setup to hear.
    #[error("there is no [[setup]]: at least one is needed")]
    NoSetups,
    /// Two setups of one name.
    #[error("two setups are called '{0}': each needs a name of its own")]
    SameName(String),
    /// A setup's venue has no name.
    #[error("setup '{0}': venue is empty: give its name, or leave it out for a setup of every venue")]
    NoVenue(String),
    /// A venue's table has no name.
    #[error("a [[venue]] has an empty name: give the one that its setups call it by")]
    UnnamedVenue,
    /// Two venues of one name.
    #[error("two venues are called '{0}': each needs a name of its own")]
    SameVenue(String),
    /// Something is plugged in behind a box that does not say where its thru is.
    #[error(
        "{place}: something follows box '{name}', so it needs thru = \"before\" (in parallel with its input) or \"after\" \
         (behind its buffer)"
    )]
    ThruMissing {
        /// Which setup, or `recorded`.
        place: String,
        /// Which link of its chain, counted from 1.
        link: usize,
        /// The box.
        name: String,
    },
    /// What a kit calls an entry can be no name.
    #[error("{place}: {problem}")]
    KitName {
        /// The entry.
        place: String,
        /// Why.
        problem: NameProblem,
    },
    /// Two entries of a kit have one name.
    #[error("{place}: another entry of the kit is called '{name}': each needs a name of its own")]
    SameKitName {
        /// The second one.
        place: String,
        /// Its name.
        name: String,
    },
    /// A text of a file of setups that is neither a value nor the name of an entry of the kit.
    #[error(
        "{}{field}: '{name}' is neither a value nor in the kit{}: where a kit has it, firstjack kit embed FILE -o FILE writes its \
         values into the file",
        within(place),
        near.as_ref().map_or_else(String::new, |near| format!(" (is it '{near}'?)"))
    )]
    NotInKit {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// The text, or its part.
        name: String,
        /// What was probably meant.
        near: Option<String>,
    },
    /// Parts of a kit that cannot stand together in one load.
    #[error("{}{field}: {problem}", within(place))]
    Together {
        /// The table.
        place: String,
        /// The field.
        field: &'static str,
        /// Why.
        problem: Box<crate::kit::KitError>,
    },
}

impl PresetProblem {
    /// Whether something is missing, and not something wrong there.
    pub(super) const fn is_absence(&self) -> bool {
        matches!(
            self,
            Self::NoVersion { .. }
                | Self::Missing { .. }
                | Self::NoRecorded { .. }
                | Self::NoSetups
                | Self::Either { is_both: false, .. }
                | Self::NoKind { .. }
        )
    }

    /// The table that it is about, where only its name is known.
    pub(super) fn place(&self) -> Option<String> {
        match self {
            Self::TooLarge { place, .. } | Self::Lossless { place, .. } => Some(place.clone()),
            Self::ThruMissing { place, link, .. } => Some(link_place(place, *link)),
            Self::SameName(name) | Self::NoVenue(name) => Some(format!("setup '{name}'")),
            Self::SameVenue(name) => Some(format!("venue '{name}'")),
            Self::KitName { place, .. } | Self::SameKitName { place, .. } => Some(place.clone()),
            _ => None,
        }
    }
}

fn at(line: Option<usize>) -> String {
    line.map_or_else(String::new, |line| format!("line {line}: "))
}

fn within(place: &str) -> String {
    if place.is_empty() { String::new() } else { format!("{place}: ") }
}

fn meant(near: Option<&str>, known: &[&str]) -> String {
    match near {
        Some(near) => format!("did you mean {near}?"),
        None => format!("accepted are {}", known.join(", ")),
    }
}
