//! Names that others gave, to setups, files and sounds.

use std::fmt;
use std::ops::Deref;
use std::path::Path;

use dsp_core::preset::is_same_name;
use firstjack_words::visible;
use serde::{Serialize, Serializer};

/// A name. As text it has nothing that would steer a terminal or break a line; in JSON it is what was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name {
    shown: String,
    /// Only where it is not what is shown.
    given: Option<String>,
}

impl Name {
    /// A file's.
    pub fn of(path: &Path) -> Self {
        path.display().to_string().into()
    }

    /// As it was given, for other programs.
    pub fn given(&self) -> &str {
        self.given.as_deref().unwrap_or(&self.shown)
    }

    /// Whether it is what was typed, letter by letter: as it was given, or as it is shown.
    pub fn is_exactly(&self, typed: &str) -> bool {
        typed == self.given() || typed == self.shown
    }

    /// Whether it is meant by what was typed, in whatever letters.
    pub fn is(&self, typed: &str) -> bool {
        is_same_name(self.given(), typed) || is_same_name(&self.shown, typed)
    }
}

impl From<String> for Name {
    fn from(given: String) -> Self {
        let shown = visible(&given).into_owned();
        if shown == given { Self { shown, given: None } } else { Self { shown, given: Some(given) } }
    }
}

impl From<&str> for Name {
    fn from(given: &str) -> Self {
        given.to_owned().into()
    }
}

/// As it is shown.
impl Deref for Name {
    type Target = str;

    fn deref(&self) -> &str {
        &self.shown
    }
}

/// As it is shown.
impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.shown.fmt(f)
    }
}

/// As it was given.
impl Serialize for Name {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.given().serialize(serializer)
    }
}
