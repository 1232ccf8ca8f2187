//! What fields the tables of a file have, each with what it says, the version that it came with and the kinds that have it: said once,
//! where the field is declared. The text of a file is held against it (`check.rs`), and the schema for editors is made of it.

use super::{LinePolarity, Phantom};
use crate::circuit::{LinkError, Polarity, Taper, Thru};
use crate::units::{
    Capacitance, Inductance, Length, Load, LoadPart, Percent, Ratio, Resistance, Tolerance, UnitError,
};

/// What stands in a file and came with a version: a file of an earlier one may not have it, since programs that only know that one
/// refuse it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Given {
    pub name: &'static str,
    pub since: i64,
}

/// A table of a file.
pub(crate) struct Layout {
    #[cfg_attr(not(test), expect(dead_code, reason = "the schema's"))]
    pub name: &'static str,
    pub fields: Vec<Field>,
    /// What it may be, at least one.
    pub kinds: &'static [Kind],
    /// Kinds whose fields it has besides.
    pub also: u8,
}

/// What a table may be.
pub(crate) struct Kind {
    /// With its article: "a cable".
    pub name: &'static str,
    pub bit: u8,
    /// Fields that it must have; the first one decides that it is this kind.
    pub needs: &'static [&'static str],
    /// Fields of which it has exactly one, if there are any.
    pub either: &'static [&'static str],
}

/// Of a table that knows no kinds.
pub(crate) const ANY: u8 = u8::MAX;

pub(crate) const PLAIN: &[Kind] = &[Kind { name: "", bit: ANY, needs: &[], either: &[] }];

pub(crate) struct Field {
    pub name: &'static str,
    /// What it says, in a sentence without its end.
    pub about: &'static str,
    pub since: i64,
    /// The kinds of its table that have it, one bit each.
    pub of: u8,
    pub is_optional: bool,
    pub shape: Shape,
}

/// What a field holds.
pub(crate) enum Shape {
    /// A format version: the latest.
    Version(i64),
    Name,
    Text(Text),
    /// Words, each with the version that it came with.
    OneOf(&'static [(&'static str, i64)]),
    Table(fn() -> Layout),
    TextOrTable(Text, fn() -> Layout),
    List(Box<Shape>),
}

/// Reads a text as a person types it now, and asks what may mean two things.
pub(crate) type Asks = fn(&str) -> Result<Load, UnitError>;

/// A text with a form of its own.
#[derive(Clone, Copy)]
pub(crate) struct Text {
    pub example: &'static str,
    /// Reads it: what of it came with a later version than its field.
    pub read: fn(&str) -> Result<Option<Given>, LinkError>,
    /// Reads it as a file of the latest version does, where that asks what earlier ones did not.
    pub asks: Option<Asks>,
    /// Whether a name of a person's kit may stand there, which is its own business (`kit/embed.rs`).
    #[cfg_attr(not(test), expect(dead_code, reason = "the schema's"))]
    pub is_named: bool,
}

impl Layout {
    pub fn field(&self, name: &str) -> Option<&Field> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// The fields that one kind of it has.
    pub fn fields_of(&self, kind: &Kind) -> impl Iterator<Item = &Field> {
        let bits = kind.bit | self.also;
        self.fields.iter().filter(move |field| field.of & bits != 0)
    }
}

impl Field {
    /// How it is written: `load = "470k || 6 m"`.
    pub fn example(&self) -> String {
        format!("{} = {}", self.name, self.shape.example())
    }
}

impl Shape {
    pub fn example(&self) -> String {
        match self {
            Self::Version(latest) => latest.to_string(),
            Self::Name => "\"...\"".to_owned(),
            Self::Text(text) | Self::TextOrTable(text, _) => format!("\"{}\"", text.example),
            Self::OneOf(accepted) => {
                let quoted: Vec<String> = accepted.iter().map(|(one, _)| format!("\"{one}\"")).collect();
                quoted.join(" or ")
            }
            Self::Table(_) => "{ ... }".to_owned(),
            Self::List(_) => "[ ... ]".to_owned(),
        }
    }
}

/// A value that a field may hold.
pub(crate) trait Value {
    const IS_OPTIONAL: bool = false;

    fn shape() -> Shape;
}

impl<T: Value> Value for Option<T> {
    const IS_OPTIONAL: bool = true;

    fn shape() -> Shape {
        T::shape()
    }
}

impl<T: Value> Value for Vec<T> {
    fn shape() -> Shape {
        Shape::List(Box::new(T::shape()))
    }
}

macro_rules! values {
    ($($value:ty: $shape:expr;)*) => {
        $(impl Value for $value {
            fn shape() -> Shape {
                $shape
            }
        })*
    };
}

values! {
    i64: Shape::Version(super::check::VERSION);
    String: Shape::Name;
    Percent: text("70 %", |text| Ok(text.parse::<Percent>().map(|_| None)?));
    Polarity: Shape::OneOf(&[("same", 2), ("reversed", 2)]);
    Taper: Shape::OneOf(&[("linear", 2), ("logarithmic", 2)]);
    LinePolarity: Shape::OneOf(&[("normal", 5), ("reversed", 5)]);
    Phantom: Shape::OneOf(&[("on", 5), ("off", 5)]);
    Thru: Shape::OneOf(&[("before", 1), ("after", 1), ("active", 5)]);
    Capacitance: text("680 pF", |text| Ok(newer(text.parse::<Self>()?.tolerance())));
    Inductance: text("4.7 H", |text| Ok(newer(text.parse::<Self>()?.tolerance())));
    Length: text("6 m", |text| Ok(newer(text.parse::<Self>()?.tolerance())));
    Ratio: text("12", |text| Ok(newer(text.parse::<Self>()?.tolerance())));
    Resistance: text("470k", |text| Ok(newer(text.parse::<Self>()?.tolerance())));
    super::text::LoadText: Shape::Text(LOAD);
}

fn text(example: &'static str, read: fn(&str) -> Result<Option<Given>, LinkError>) -> Shape {
    Shape::Text(Text { example, read, asks: None, is_named: false })
}

pub(crate) const LOAD: Text = Text {
    example: "470k || 6 m",
    read: |text| Ok(newer_part(&text.parse::<Load>()?)),
    asks: Some(Load::typed),
    is_named: true,
};

/// What a tolerance came with, wherever it stands.
fn newer(tolerance: Tolerance) -> Option<Given> {
    let (name, since) = if tolerance.ends().is_some() { ("470p to 4.7n", 5) } else { ("±", 4) };
    (!tolerance.is_none()).then_some(Given { name, since })
}

/// The latest of what a load's parts came with.
fn newer_part(load: &Load) -> Option<Given> {
    let of_part = |part: &LoadPart| match part {
        LoadPart::Resistance(value) => newer(value.tolerance()),
        LoadPart::Capacitance(value) => newer(value.tolerance()),
        LoadPart::Cable(value) => newer(value.tolerance()),
        LoadPart::Inductance(value) => newer(value.tolerance()),
        LoadPart::Transformer(_) => Some(Given { name: "transformer 140k", since: 5 }),
    };
    load.parts().iter().filter_map(of_part).max_by_key(|given| given.since)
}

/// Declares a table of a file, its name in the schema and its kinds: its fields as `"name" field: type, since version`, and where only
/// some kinds have it `, of KINDS`, each below what it says.
macro_rules! table {
    ($(#[$doc:meta])* $table:ident, $name:literal, $kinds:expr, {
        $($(#[doc = $about:literal])+ $written:literal $field:ident: $value:ty, since $since:literal $(, of $of:expr)?;)*
    }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        #[allow(dead_code, reason = "a version is looked at before the rest is read")]
        pub(crate) struct $table {
            $(#[serde(rename = $written)] pub $field: $value,)*
        }

        impl $table {
            pub fn layout() -> $crate::preset::fields::Layout {
                use $crate::preset::fields::{ANY, Field, Layout, Value};
                let fields = vec![$({
                    let of = [ANY, $($of)?];
                    Field {
                        name: $written,
                        about: concat!($($about),+).trim_start(),
                        since: $since,
                        of: of[of.len() - 1],
                        is_optional: <$value>::IS_OPTIONAL,
                        shape: <$value>::shape(),
                    }
                }),*];
                Layout { name: $name, fields, kinds: $kinds, also: 0 }
            }
        }

        impl $crate::preset::fields::Value for $table {
            fn shape() -> $crate::preset::fields::Shape {
                $crate::preset::fields::Shape::Table(Self::layout)
            }
        }
    };
}

pub(crate) use table;
