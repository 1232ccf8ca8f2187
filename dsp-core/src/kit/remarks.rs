use super::{Entry, Kit, Method, Origin};
use crate::circuit::{Chain, Link, Pickup, Pickups, Spread};
use crate::preset::names::is_near;
use crate::preset::{CoilKind, PickupKind, is_same_name};
use crate::units::Capacitance;

/// What is as a rule a slip in a kit that can be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// Two names differ by a letter or a space alone.
    Near {
        /// The first one.
        one: String,
        /// The other.
        other: String,
    },
    /// A pickup has the name of a kind of pickup.
    Kind {
        /// Its name.
        name: String,
    },
    /// Something measured has no spread.
    NoSpread {
        /// Its name.
        name: String,
    },
}

impl Remark {
    /// Whether it is about an entry of this name.
    pub fn is_about(&self, name: &str) -> bool {
        match self {
            Self::Near { one, other } => one == name || other == name,
            Self::Kind { name: of } | Self::NoSpread { name: of } => of == name,
        }
    }
}

impl Kit {
    /// What is as a rule a slip.
    pub fn remarks(&self) -> Vec<Remark> {
        let entries = self.entries();
        let mut remarks = Vec::new();
        for (index, entry) in entries.iter().enumerate() {
            let name = entry.name();
            let near = entries[index + 1..].iter().filter(|other| is_near(name, other.name()));
            remarks.extend(
                near.map(|other| Remark::Near { one: name.to_owned(), other: other.name().to_owned() }),
            );
            if matches!(entry, Entry::Pickup(_)) && is_kind(name) {
                remarks.push(Remark::Kind { name: name.to_owned() });
            }
            let Origin { measured, method, .. } = entry.origin();
            let is_measured = *method != Some(Method::Printed) && (measured.is_some() || method.is_some());
            if is_measured && !has_spread(entry) {
                remarks.push(Remark::NoSpread { name: name.to_owned() });
            }
        }
        remarks
    }
}

/// Whether a name is that of a kind of pickup.
pub fn is_kind(name: &str) -> bool {
    let is = |word: &str, kind: &str| is_same_name(word, name) || is_same_name(kind, name);
    PickupKind::all().iter().any(|kind| is(&kind.word, &kind.name))
        || CoilKind::all().iter().any(|kind| is(&kind.word, &kind.name))
}

fn has_spread(entry: &Entry) -> bool {
    let any = || Pickup::new("1n".parse::<Capacitance>().expect("a capacitance"));
    let (pickups, chain): (Pickups, _) = match entry {
        Entry::Pickup(pickup) => (pickup.pickup.into(), Chain::default()),
        Entry::Box(input) => (any().into(), Chain::of(vec![Link::Box(input.input.clone())])),
    };
    Spread::of(&pickups, [&chain]).is_some()
}
