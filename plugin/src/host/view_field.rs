//! The state's `view` field: how a project is looked at. It is never heard. What is the person's and no project's, size, zoom and theme,
//! is kept elsewhere; a comparison without names is not kept, since its secret would stand in the file.

use std::sync::{Mutex, MutexGuard, PoisonError};

use dsp_core::units::Pitch;
use nice_plug::params::persist::PersistentField;
use serde::de::IgnoredAny;
use serde::{Deserialize, Deserializer, Serialize};

/// Ids of the pages that a window may show.
pub const PAGES: [&str; 3] = ["curves", "strings", "blind"];
/// Ids of the kinds of curves that it may draw.
pub const CURVES: [&str; 2] = ["loss", "change"];
/// More than any instrument has.
const MOST_STRINGS: usize = 64;

/// How a project is looked at; what is empty is left to the window.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct View {
    /// The strings of the person's own tuning, as they were typed ("A1"), in place of those of the preset's instrument.
    #[serde(default, deserialize_with = "or_nothing", skip_serializing_if = "Vec::is_empty")]
    pub tuning: Vec<String>,
    /// One of [`PAGES`].
    #[serde(default, deserialize_with = "or_nothing", skip_serializing_if = "String::is_empty")]
    pub page: String,
    /// One of [`CURVES`].
    #[serde(default, deserialize_with = "or_nothing", skip_serializing_if = "String::is_empty")]
    pub curves: String,
}

impl View {
    /// The same without what is not known, or no pitch.
    pub(crate) fn repaired(mut self) -> Self {
        let is_pitch = |text: &String| text.parse::<Pitch>().is_ok();
        if self.tuning.len() > MOST_STRINGS || !self.tuning.iter().all(is_pitch) {
            self.tuning.clear();
        }
        for (id, known) in [(&mut self.page, &PAGES[..]), (&mut self.curves, &CURVES[..])] {
            if !known.contains(&id.as_str()) {
                id.clear();
            }
        }
        self
    }
}

/// What is of another type is nothing, and costs the rest nothing.
fn or_nothing<'de, D: Deserializer<'de>, T: Deserialize<'de> + Default>(from: D) -> Result<T, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum Or<T> {
        This(T),
        Other(IgnoredAny),
    }
    Ok(match Or::deserialize(from)? {
        Or::This(this) => this,
        Or::Other(_) => T::default(),
    })
}

/// Only for threads that may wait.
#[derive(Default)]
pub(crate) struct ViewField(Mutex<View>);

impl ViewField {
    /// What was loaded or set last.
    #[cfg(feature = "editor")]
    pub fn get(&self) -> View {
        self.lock().clone()
    }

    /// Sets what is known of it; true if that is something else.
    #[cfg(feature = "editor")]
    pub fn put(&self, view: View) -> bool {
        let (mut now, to) = (self.lock(), view.repaired());
        std::mem::replace(&mut *now, to.clone()) != to
    }

    fn lock(&self) -> MutexGuard<'_, View> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl PersistentField<'_, View> for ViewField {
    fn set(&self, view: View) {
        *self.lock() = view.repaired();
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&View) -> R,
    {
        f(&self.lock())
    }
}
