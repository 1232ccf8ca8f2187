//! Loads and boxes as they are typed, where names of a kit may stand for values.

use std::fmt;

use super::{Kit, KitBox, KitError};
use crate::circuit::{Chain, Input, InputBox, Link, LinkError, split_thru};
use crate::units::{Load, UnitError, parts_of};

/// A load that was typed, as a chain, and as it is told. All of it is in parallel, whatever thrus its boxes have.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedLoad {
    /// What the pickup sees.
    pub chain: Chain,
    /// The names of the kit that stand in it, as the kit spells them.
    pub names: Vec<String>,
    text: String,
}

impl TypedLoad {
    /// Whether it has no part.
    pub fn is_empty(&self) -> bool {
        self.chain.is_empty()
    }
}

/// As loads are told: `our tuner || 470 kΩ`.
impl fmt::Display for TypedLoad {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.text.fmt(f)
    }
}

impl From<&Load> for TypedLoad {
    fn from(load: &Load) -> Self {
        Self { chain: Chain::from(load), names: Vec::new(), text: load.to_string() }
    }
}

impl Kit {
    /// Reads a load as a person types it ([`Load::typed`]), of which any part may be a box of the kit.
    ///
    /// Of all boxes in it one is listened to, which matters where a box listens behind a transformer or a blocking capacitor: it is that one.
    ///
    /// # Errors
    /// If a part is neither a value nor a box of the kit, or two boxes are such.
    pub fn load(&self, text: &str) -> Result<TypedLoad, KitError> {
        let parts: Vec<(&str, Option<&KitBox>)> =
            parts_of(text).map(|part| (part, self.input_box(part))).collect();
        let names: Vec<String> =
            parts.iter().filter_map(|(_, named)| Some(named.as_ref()?.input.name.clone())).collect();
        if names.is_empty() {
            let load = Load::typed(text).map_err(|error| self.unread(text, error.into()))?;
            return Ok(TypedLoad::from(&load));
        }
        let (mut told, mut links) = (Vec::new(), Vec::new());
        for (part, named) in parts {
            if let Some(KitBox { input, .. }) = named {
                told.push(input.name.clone());
                links.push(Link::Box(InputBox { thru: None, ..input.clone() }));
            } else {
                let load = beside(part).map_err(|error| self.unread(part, error.into()))?;
                told.push(load.to_string());
                links.extend(Chain::from(&load).links().map(|(link, _)| link.clone()));
            }
        }
        Ok(TypedLoad { chain: in_parallel(links)?, names, text: told.join(" || ") })
    }

    /// Reads a cable or a box as a person types it (`tuner 1M buffered`), or a box of the kit, `our tuner buffered`; without a word on its thru
    /// it is as the kit says.
    ///
    /// # Errors
    /// If it is neither.
    pub fn link(&self, text: &str) -> Result<Link, KitError> {
        let (name, thru) = split_thru(text.trim());
        match self.input_box(name) {
            Some(KitBox { input, .. }) => {
                Ok(Link::Box(InputBox { thru: thru.or(input.thru), ..input.clone() }))
            }
            None => text.parse().map_err(|error| self.unread(text, error)),
        }
    }

    /// What is wrong with a text that is no value and no name of a box.
    fn unread(&self, text: &str, error: LinkError) -> KitError {
        let is_unread = |part: &&str| Load::typed(part).is_err();
        let part = parts_of(text).find(is_unread).unwrap_or(text).trim();
        let (name, _) = split_thru(part);
        if let Some(pickup) = self.pickup(name) {
            return KitError::IsPickup(pickup.name.clone());
        }
        let near = self.near(name).map(str::to_owned);
        if near.is_none() && !is_name(name) {
            return KitError::Link(error);
        }
        KitError::Unknown { name: name.to_owned(), near, error: Box::new(error) }
    }
}

/// All of it at once. The last box of a chain is the one that is listened to.
fn in_parallel(mut links: Vec<Link>) -> Result<Chain, KitError> {
    links.sort_by_key(
        |link| if let Link::Box(input) = link { 1 + u8::from(listens_behind(input)) } else { 0 },
    );
    if let [.., Link::Box(one), Link::Box(other)] = links.as_slice()
        && listens_behind(one)
    {
        return Err(KitError::TwoHeard { one: one.name.clone(), other: other.name.clone() });
    }
    Chain::new(links).map_err(KitError::TooLarge)
}

/// A part of a load beside others, where `none` is no part.
fn beside(part: &str) -> Result<Load, UnitError> {
    let load = Load::typed(part)?;
    if load.is_empty() { Load::typed(&format!("{part} || 1M")) } else { Ok(load) }
}

/// Whether a text that is no value looks like a name, and not like a value with a slip.
pub(super) fn is_name(text: &str) -> bool {
    text.starts_with(char::is_alphabetic) && !text.contains(|c: char| c.is_ascii_digit())
}

/// Whether a box hears something else than what stands at its jack.
fn listens_behind(input: &InputBox) -> bool {
    input.blocking.is_some() || matches!(input.input, Input::Transformer(_))
}
