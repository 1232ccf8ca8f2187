//! What can be done to the links of a chain: added, removed, moved, renamed, their thrus plugged. Each makes a new document
//! from an old one.

use dsp_core::circuit::{Cable, Chain, Input, InputBox, Link, Splitter, Thru};
use dsp_core::units::UnitError;

use super::{Document, Where, usual};

/// Longest name of a box, in characters.
const LONGEST_NAME: usize = 60;

/// Where a link is: in which chain, and the way to it. `[2]` is the third link, `[2, 0]` the first of its branch.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Spot {
    /// The chain.
    pub place: Where,
    /// The way to the link, never empty.
    pub path: Vec<usize>,
}

/// What can be put into a chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A cable.
    Cable,
    /// A box with a resistance.
    Box,
    /// A box with a blocking capacitor.
    Amplifier,
    /// A box with a transformer.
    PassiveBox,
    /// A splitter with a box at its branch.
    Splitter,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Cable, Self::Box, Self::Amplifier, Self::PassiveBox, Self::Splitter];
}

impl Spot {
    /// A link of a chain, counted from zero.
    pub fn new(place: Where, index: usize) -> Self {
        Self { place, path: vec![index] }
    }

    /// Its number among its neighbours.
    pub fn index(&self) -> usize {
        self.path.last().copied().unwrap_or(0)
    }

    /// Another one of the same chain.
    #[must_use]
    pub fn sibling(&self, index: usize) -> Self {
        let mut path = self.path.clone();
        path.pop();
        path.push(index);
        Self { place: self.place, path }
    }

    /// A link of the branch that begins here.
    #[must_use]
    pub fn branch(&self, index: usize) -> Self {
        let mut path = self.path.clone();
        path.push(index);
        Self { place: self.place, path }
    }
}

/// The link at a spot, if there is one.
pub fn link<'a>(document: &'a Document, spot: &Spot) -> Option<&'a Link> {
    let (last, way) = spot.path.split_last()?;
    let mut chain = document.chain(spot.place)?;
    for index in way {
        match chain.links().nth(*index) {
            Some((Link::Splitter(splitter), _)) => chain = &splitter.branch,
            _ => return None,
        }
    }
    chain.links().nth(*last).map(|(link, _)| link)
}

/// Puts a link of this kind at a spot, before the one that stands there. A box that stands before it and has no thru gets one
/// before its buffer.
///
/// # Errors
/// If there is no such place, or the chain would be too large.
pub fn add(document: &Document, spot: &Spot, kind: Kind) -> Result<Document, String> {
    let names = names(document, spot.place);
    edit(document, spot, &|links, index| {
        if index > links.len() {
            return Err(nothing_there(spot));
        }
        links.insert(index, make(kind, &names).map_err(|error| error.to_string())?);
        Ok(())
    })
}

/// Puts a box of a kit at a place.
///
/// # Errors
/// If there is no such place, or the chain would be too large.
pub fn add_box(document: &Document, spot: &Spot, input: &InputBox) -> Result<Document, String> {
    edit(document, spot, &|links, index| {
        if index > links.len() {
            return Err(nothing_there(spot));
        }
        links.insert(index, Link::Box(input.clone()));
        Ok(())
    })
}

/// Takes a link away.
///
/// # Errors
/// If there is none, or what is left is too large: a buffer may have kept the rest away from the pickup.
pub fn remove(document: &Document, spot: &Spot) -> Result<Document, String> {
    edit(document, spot, &|links, index| {
        if index >= links.len() {
            return Err(nothing_there(spot));
        }
        links.remove(index);
        Ok(())
    })
}

/// Puts a link at another number of the same chain.
///
/// # Errors
/// If there is none, or the chain would be too large.
pub fn move_link(document: &Document, from: &Spot, to: usize) -> Result<Document, String> {
    edit(document, from, &|links, index| {
        if index >= links.len() || to >= links.len() {
            return Err(nothing_there(from));
        }
        let link = links.remove(index);
        links.insert(to, link);
        Ok(())
    })
}

/// Plugs a box's thru.
///
/// # Errors
/// If there is no box, if something follows it and would have no thru to be plugged into, or if the chain would be too large.
pub fn set_thru(document: &Document, spot: &Spot, thru: Option<Thru>) -> Result<Document, String> {
    edit(document, spot, &|links, index| {
        let is_last = index + 1 == links.len();
        let Some(Link::Box(input)) = links.get_mut(index) else {
            return Err(nothing_there(spot));
        };
        if thru.is_none() && !is_last {
            return Err(format!(
                "'{}' cannot be without a thru: something is plugged into it; remove or move what follows first",
                input.name
            ));
        }
        input.thru = thru;
        Ok(())
    })
}

/// Gives a box or a splitter another name.
///
/// # Errors
/// If there is neither, or if the name is empty, too long or taken.
pub fn rename(document: &Document, spot: &Spot, name: &str) -> Result<Document, String> {
    let name = name.trim();
    if name.is_empty() {
        return Err("a name is missing: accepted are 1 to 60 characters".to_owned());
    }
    let given = name.chars().count();
    if given > LONGEST_NAME {
        return Err(format!("the name has {given} characters: accepted are 1 to {LONGEST_NAME}"));
    }
    let own = link(document, spot).and_then(Link::name);
    if own != Some(name) && names(document, spot.place).iter().any(|other| other == name) {
        return Err(format!("'{name}' is taken: accepted are names that no other box of the chain has"));
    }
    edit(document, spot, &|links, index| match links.get_mut(index) {
        Some(Link::Box(InputBox { name: old, .. }) | Link::Splitter(Splitter { name: old, .. })) => {
            name.clone_into(old);
            Ok(())
        }
        _ => Err(nothing_there(spot)),
    })
}

type Change<'a> = &'a dyn Fn(&mut Vec<Link>, usize) -> Result<(), String>;

/// Changes the links around a spot.
pub(crate) fn edit(document: &Document, spot: &Spot, change: Change<'_>) -> Result<Document, String> {
    let mut to = document.clone();
    let chain = match spot.place {
        Where::Recorded => Some(&mut to.preset.recorded),
        Where::Setup(index) => to.preset.setups.get_mut(index).map(|setup| &mut setup.chain),
    };
    let chain = chain.ok_or_else(|| nothing_there(spot))?;
    *chain = edit_chain(chain, spot, &spot.path, change)?;
    Ok(to)
}

fn edit_chain(chain: &Chain, spot: &Spot, path: &[usize], change: Change<'_>) -> Result<Chain, String> {
    let mut links: Vec<Link> = chain.links().map(|(link, _)| link.clone()).collect();
    match path {
        [] => return Err(nothing_there(spot)),
        [index] => change(&mut links, *index)?,
        [first, rest @ ..] => match links.get_mut(*first) {
            Some(Link::Splitter(splitter)) => {
                splitter.branch = edit_chain(&splitter.branch, spot, rest, change)?;
            }
            _ => return Err(nothing_there(spot)),
        },
    }
    plug(&mut links);
    Chain::new(links).map_err(|error| error.to_string())
}

/// What follows a box is plugged into its thru, so every box but the last has one.
fn plug(links: &mut [Link]) {
    let Some((_, before)) = links.split_last_mut() else { return };
    for link in before {
        if let Link::Box(InputBox { thru: thru @ None, .. }) = link {
            *thru = Some(Thru::Before);
        }
    }
}

fn nothing_there(spot: &Spot) -> String {
    let place = match spot.place {
        Where::Recorded => "what was recorded through".to_owned(),
        Where::Setup(index) => format!("setup {}", index + 1),
    };
    format!("{place} has no such link {}: it may have been changed meanwhile", spot.index() + 1)
}

/// Names of all boxes and splitters of a chain, those of branches included.
fn names(document: &Document, place: Where) -> Vec<String> {
    fn collect(chain: &Chain, names: &mut Vec<String>) {
        for (link, _) in chain.links() {
            match link {
                Link::Box(input) => names.push(input.name.clone()),
                Link::Splitter(splitter) => {
                    names.push(splitter.name.clone());
                    collect(&splitter.branch, names);
                }
                _ => {}
            }
        }
    }
    let mut names = Vec::new();
    if let Some(chain) = document.chain(place) {
        collect(chain, &mut names);
    }
    names
}

/// "box", or "box 2" if that is taken, and so on.
pub(super) fn free(name: &str, taken: &[String]) -> String {
    let numbered = (2..).map(|number| format!("{name} {number}"));
    let mut candidates = std::iter::once(name.to_owned()).chain(numbered);
    candidates.find(|candidate| !taken.contains(candidate)).unwrap_or_else(|| name.to_owned())
}

/// A link of usual values (E series of IEC 60063, our choice).
fn make(kind: Kind, taken: &[String]) -> Result<Link, UnitError> {
    let plain =
        |name: &str, input: &str| Ok::<_, UnitError>(InputBox::new(free(name, taken), input.parse()?));
    Ok(match kind {
        Kind::Cable => Link::Cable(Cable::new("3 m".parse()?)),
        Kind::Box => Link::Box(plain("box", "1M")?),
        Kind::Amplifier => Link::Box(InputBox {
            capacitance: Some("100p".parse()?),
            blocking: Some("22n".parse()?),
            ..plain("amplifier", "470k")?
        }),
        Kind::PassiveBox => Link::Box(InputBox {
            input: Input::Transformer(usual::transformer()?),
            ..plain("passive box", "220k")?
        }),
        Kind::Splitter => Link::Splitter(Splitter {
            name: free("splitter", taken),
            resistor: Some("10k".parse()?),
            branch: Chain::new(vec![Link::Box(plain("box", "1M")?)]).unwrap_or_default(),
        }),
    })
}
