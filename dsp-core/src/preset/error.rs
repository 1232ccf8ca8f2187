use thiserror::Error;

use crate::circuit::ChainTooLarge;
use crate::response::Lossless;

/// A preset file that could not be read.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PresetError {
    /// Not TOML, an unknown or missing field, or a value that cannot be read; the message says where.
    #[error("{0}")]
    Text(String),
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
    /// Neither a pickup nor a blend of two, or both.
    #[error(
        "give either pickup = {{ ... }} or two [[blend]] tables, one for each of two pickups that share a jack"
    )]
    PickupOrBlend,
    /// A pickup is neither capacitive nor magnetic, or has fields of both.
    #[error(
        "{place}: accepted are {{ capacitance = \"680 pF\", leakage = \"1G\" }} and {{ inductance = \"4.7 H\", resistance = \
         \"8k2\", winding = \"120 pF\", loss = \"470k\" }}, each with volume = {{ ... }} and tone = {{ ... }}"
    )]
    Pickup {
        /// Which pickup.
        place: String,
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
    /// A setup says neither or both of `load` and `chain`.
    #[error("{place}: give either load = \"470k || 6 m\" or chain = [...]")]
    LoadOrChain {
        /// Which setup, or `recorded`.
        place: String,
    },
    /// A link of a chain is neither a cable nor a box nor a splitter, or several, or has a field of another.
    #[error(
        "{place}, link {link}: accepted are {{ cable = \"6 m\", per_metre = \"100 pF\", leakage = \"100M\" }}, {{ box = \"amp\", \
         input = \"470k\", capacitance = \"47p\", blocking = \"22n\", thru = \"before\" or \"after\" }}, the same with \
         transformer = {{ primary = \"47 H\", winding = \"1k5\", ratio = \"12\", secondary = \"1k5\", capacitance = \"330p\", core = \"220k\" }} \
         in place of input, and {{ splitter = \"splitter\", resistor = \"10k\", branch = [...] }}"
    )]
    Link {
        /// Which setup, or `recorded`.
        place: String,
        /// Counted from 1.
        link: usize,
    },
    /// Something is plugged in behind a box that does not say where its thru is.
    #[error(
        "{place}: something follows box '{name}', so it needs thru = \"before\" (in parallel with its input) or \"after\" \
         (behind its buffer)"
    )]
    ThruMissing {
        /// Which setup, or `recorded`.
        place: String,
        /// The box.
        name: String,
    },
}
