//! What fields the tables of a file have, each with the version that it came with and the kinds that have it: said once, where the
//! field is declared. A file of an earlier version may not have a field, since programs that only know that one refuse it, and a
//! link or pickup of one kind may not have another's.

use super::{LinePolarity, Phantom};
use crate::circuit::{Polarity, Taper, Thru};
use crate::units::{Capacitance, Inductance, Length, LoadPart, Percent, Ratio, Resistance};

/// A field that stands in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Given {
    pub name: &'static str,
    /// The version that it came with.
    pub since: i64,
    /// The kinds of its table that have it, one bit each.
    pub of: u8,
}

/// Of a table that knows no kinds.
pub(super) const ANY: u8 = u8::MAX;

/// A value that a field may hold.
pub(super) trait Value {
    /// Whether it stands in the file.
    fn is_given(&self) -> bool {
        true
    }

    /// Calls `found` with each field inside of it.
    fn visit(&self, _found: &mut dyn FnMut(Given)) {}
}

impl<T: Value> Value for Option<T> {
    fn is_given(&self) -> bool {
        self.is_some()
    }

    fn visit(&self, found: &mut dyn FnMut(Given)) {
        self.iter().for_each(|value| value.visit(found));
    }
}

impl<T: Value> Value for Vec<T> {
    fn visit(&self, found: &mut dyn FnMut(Given)) {
        self.iter().for_each(|value| value.visit(found));
    }
}

/// A table of fields.
pub(super) trait Table {
    /// Calls `found` with each field of its own that stands in the file.
    fn fields(&self, found: &mut dyn FnMut(Given));

    /// Whether it has a field that such a table of these kinds has not.
    fn is_mixed(&self, kinds: u8) -> bool {
        let mut mixed = false;
        self.fields(&mut |field| mixed |= field.of & kinds == 0);
        mixed
    }
}

macro_rules! plain {
    ($($value:ty),*) => { $(impl Value for $value {})* };
}

plain!(i64, String, LinePolarity, Percent, Phantom, Polarity, Taper);

impl Value for Thru {
    fn visit(&self, found: &mut dyn FnMut(Given)) {
        if *self == Self::Active {
            found(ACTIVE);
        }
    }
}

/// What a tolerance came with, wherever it stands.
const TOLERANCE: Given = Given { name: "±", since: 4, of: ANY };

/// What a value between two ends came with.
const RANGE: Given = Given { name: "470p to 4.7n", since: 5, of: ANY };

/// What a passive box by its nominal input came with.
const USUAL: Given = Given { name: "transformer 140k", since: 5, of: ANY };

/// What an active pedal came with.
const ACTIVE: Given = Given { name: "thru = \"active\"", since: 5, of: ANY };

macro_rules! quantity {
    ($($quantity:ty),*) => {
        $(impl Value for $quantity {
            fn visit(&self, found: &mut dyn FnMut(Given)) {
                if self.tolerance().ends().is_some() {
                    found(RANGE);
                } else if !self.tolerance().is_none() {
                    found(TOLERANCE);
                }
            }
        })*
    };
}

quantity!(Capacitance, Inductance, Length, Ratio, Resistance);

impl Value for super::text::LoadText {
    fn visit(&self, found: &mut dyn FnMut(Given)) {
        self.0.parts().iter().for_each(|part| match part {
            LoadPart::Resistance(value) => value.visit(found),
            LoadPart::Capacitance(value) => value.visit(found),
            LoadPart::Cable(value) => value.visit(found),
            LoadPart::Inductance(value) => value.visit(found),
            LoadPart::Transformer(_) => found(USUAL),
        });
    }
}

/// Declares a table of a file: its fields as `"name" field: type, since version`, and where only some kinds have it `, of KINDS`.
macro_rules! table {
    ($(#[$doc:meta])* $table:ident {
        $($written:literal $field:ident: $value:ty, since $since:literal $(, of $kinds:expr)?;)*
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        pub(super) struct $table {
            $(#[serde(rename = $written)] pub $field: $value,)*
        }

        impl Table for $table {
            fn fields(&self, found: &mut dyn FnMut(Given)) {
                $(if self.$field.is_given() {
                    let of = [$crate::preset::fields::ANY, $($kinds)?];
                    found(Given { name: $written, since: $since, of: of[of.len() - 1] });
                })*
            }
        }

        impl Value for $table {
            fn visit(&self, found: &mut dyn FnMut(Given)) {
                self.fields(found);
                $(self.$field.visit(found);)*
            }
        }
    };
}

pub(super) use table;

/// The first field of a file that came with a later version than `version`.
pub(super) fn newer(file: &impl Value, version: i64) -> Option<Given> {
    let mut newer = None;
    file.visit(&mut |field| {
        if field.since > version {
            newer.get_or_insert(field);
        }
    });
    newer
}

/// The version in which all fields of a file can be said.
pub(super) fn version_of(file: &impl Value) -> i64 {
    let mut version = 1;
    file.visit(&mut |field| version = version.max(field.since));
    version
}
