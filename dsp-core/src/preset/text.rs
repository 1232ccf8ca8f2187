//! The files as they are written, field by field. Version 1.

use serde::{Deserialize, Deserializer, de::Error as _};

use super::PresetError;
use crate::circuit::{Cable, Chain, InputBox, Link, Pickup, Thru};
use crate::units::{Capacitance, Length, Load, Resistance};

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PresetText {
    /// Checked before the rest is read.
    #[serde(rename = "version")]
    pub _version: i64,
    pub name: String,
    pub instrument: Option<String>,
    pub pickup: Pickup,
    pub recorded: ChainText,
    #[serde(default, rename = "setup")]
    pub setups: Vec<SetupText>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SetupText {
    pub name: String,
    pub load: Option<LoadText>,
    pub chain: Option<Vec<LinkText>>,
}

/// What a take was recorded through.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChainText {
    pub load: Option<LoadText>,
    pub chain: Option<Vec<LinkText>>,
}

#[derive(Debug)]
pub(super) struct LoadText(Load);

impl<'de> Deserialize<'de> for LoadText {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map(Self).map_err(D::Error::custom)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LinkText {
    cable: Option<Length>,
    per_metre: Option<Capacitance>,
    #[serde(rename = "box")]
    name: Option<String>,
    input: Option<Resistance>,
    capacitance: Option<Capacitance>,
    thru: Option<Thru>,
}

/// A chain from its two spellings; `place` says where it stands, for errors.
pub(super) fn read_chain(
    load: Option<LoadText>,
    chain: Option<Vec<LinkText>>,
    place: &str,
) -> Result<Chain, PresetError> {
    let links = match (load, chain) {
        (Some(load), None) => return Ok(Chain::from(&load.0)),
        (None, Some(links)) => links,
        _ => return Err(PresetError::LoadOrChain { place: place.to_owned() }),
    };
    let count = links.len();
    let read = |(index, text): (usize, LinkText)| {
        let link =
            read_link(text).ok_or_else(|| PresetError::Link { place: place.to_owned(), link: index + 1 })?;
        match &link {
            Link::Box(InputBox { name, thru: None, .. }) if index + 1 < count => {
                Err(PresetError::ThruMissing { place: place.to_owned(), name: name.clone() })
            }
            _ => Ok(link),
        }
    };
    links.into_iter().enumerate().map(read).collect::<Result<_, _>>().map(Chain::new)
}

fn read_link(text: LinkText) -> Option<Link> {
    match text {
        LinkText {
            cable: Some(length),
            per_metre,
            name: None,
            input: None,
            capacitance: None,
            thru: None,
        } => Some(Link::Cable(Cable { length, per_metre })),
        LinkText {
            cable: None,
            per_metre: None,
            name: Some(name),
            input: Some(input),
            capacitance,
            thru,
        } => Some(Link::Box(InputBox { name, input, capacitance, thru })),
        _ => None,
    }
}
