use thiserror::Error;

/// A preset file that could not be read.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PresetError {
    /// Not TOML, an unknown or missing field, or a value that cannot be read; the message says where.
    #[error("{0}")]
    Text(String),
    /// The file's version is not known here.
    #[error(
        "version = {found} is not known: accepted is version = {accepted} (a later Firstjack may have written it)"
    )]
    Version {
        /// The version found.
        found: i64,
        /// The version that this program reads.
        accepted: i64,
    },
    /// No setup to hear.
    #[error("there is no [[setup]]: at least one is needed")]
    NoSetups,
    /// Two setups of one name.
    #[error("two setups are called '{0}': each needs a name of its own")]
    SameName(String),
    /// A setup says neither or both of `load` and `chain`.
    #[error("{place}: give either load = \"470k || 6 m\" or chain = [...]")]
    LoadOrChain {
        /// Which setup, or `recorded`.
        place: String,
    },
    /// A link of a chain is neither a cable nor a box, or both, or has a field of the other.
    #[error(
        "{place}, link {link}: accepted are {{ cable = \"6 m\", per_metre = \"100 pF\" }} and {{ box = \"amp\", input = \
         \"470k\", capacitance = \"47p\", thru = \"before\" or \"after\" }}"
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
