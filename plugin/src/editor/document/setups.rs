//! The list of setups: added, removed, named, put in order. Each makes a new document from an old one; what was heard is heard still,
//! at whatever number it stands then.

use dsp_core::preset::Setup;
use firstjack_words::visible;

use super::links::{Kind, Spot, add as add_link, free};
use super::{Document, Where};
use crate::sound::SETUPS;

/// Longest name of a setup or a preset, in characters.
const LONGEST_NAME: usize = 60;

/// A setup with a plain input, at the end.
///
/// # Errors
/// If there are as many as parameters are for.
pub fn add(document: &Document) -> Result<Document, String> {
    let setup = Setup {
        name: free("new setup", &names(document)),
        venue: None,
        chain: Default::default(),
        positions: document.preset.recorded_at,
    };
    let index = document.preset.setups.len();
    let with = insert(document, index, setup)?;
    add_link(&with, &Spot::new(Where::Setup(index), 0), Kind::Box)
}

/// Without one.
///
/// # Errors
/// If there is none such, or no other.
pub fn remove(document: &Document, index: usize) -> Result<Document, String> {
    check(document, index)?;
    let mut to = document.clone();
    if to.preset.setups.len() == 1 {
        return Err("the last setup stays: a preset has one at least; rename or change it".to_owned());
    }
    to.preset.setups.remove(index);
    let last = to.preset.setups.len() - 1;
    to.heard = document.heard.map(|heard| if heard > index { heard - 1 } else { heard.min(last) });
    Ok(to)
}

/// The same once more, behind it.
///
/// # Errors
/// If there is none such, or there are as many as parameters are for.
pub fn duplicate(document: &Document, index: usize) -> Result<Document, String> {
    check(document, index)?;
    let setup = &document.preset.setups[index];
    let name = free(&setup.name, &names(document));
    insert(document, index + 1, Setup { name, ..setup.clone() })
}

/// One to another place.
///
/// # Errors
/// If there is none such, or no such place.
pub fn move_to(document: &Document, from: usize, to: usize) -> Result<Document, String> {
    check(document, from)?;
    check(document, to)?;
    let mut moved = document.clone();
    let setup = moved.preset.setups.remove(from);
    moved.preset.setups.insert(to, setup);
    moved.heard = document.heard.map(|heard| match heard {
        heard if heard == from => to,
        heard if from < heard && heard <= to => heard - 1,
        heard if to <= heard && heard < from => heard + 1,
        heard => heard,
    });
    Ok(moved)
}

/// Gives one another name.
///
/// # Errors
/// If there is none such, or if the name is empty, too long or taken.
pub fn rename(document: &Document, index: usize, name: &str) -> Result<Document, String> {
    check(document, index)?;
    let name = named(name, "a setup")?;
    let others = document.preset.setups.iter().enumerate().filter(|(other, _)| *other != index);
    if others.into_iter().any(|(_, setup)| setup.name == name) {
        return Err(format!("another setup is called '{}': each needs a name of its own", visible(name)));
    }
    let mut to = document.clone();
    name.clone_into(&mut to.preset.setups[index].name);
    Ok(to)
}

/// Another one in its place, under its name: two of one name could not be told apart.
///
/// # Errors
/// If there is none such.
pub fn replace(document: &Document, index: usize, setup: &Setup) -> Result<Document, String> {
    check(document, index)?;
    let mut to = document.clone();
    let name = std::mem::take(&mut to.preset.setups[index].name);
    to.preset.setups[index] = Setup { name, ..setup.clone() };
    Ok(to)
}

/// Gives the preset another name.
///
/// # Errors
/// If it is empty or too long.
pub fn name_preset(document: &Document, name: &str) -> Result<Document, String> {
    let mut to = document.clone();
    named(name, "a preset")?.clone_into(&mut to.preset.name);
    Ok(to)
}

/// What one is called, to be shown.
pub fn name(document: &Document, index: usize) -> String {
    document
        .preset
        .setups
        .get(index)
        .map_or_else(|| format!("setup {}", index + 1), |setup| visible(&setup.name).into_owned())
}

fn named<'a>(name: &'a str, what: &str) -> Result<&'a str, String> {
    let name = name.trim();
    let given = name.chars().count();
    match given {
        0 => Err(format!("{what} needs a name: it keeps its old one")),
        1..=LONGEST_NAME => Ok(name),
        _ => Err(format!("the name has {given} characters: accepted are 1 to {LONGEST_NAME}")),
    }
}

fn insert(document: &Document, index: usize, setup: Setup) -> Result<Document, String> {
    let mut to = document.clone();
    if to.preset.setups.len() >= SETUPS {
        return Err(format!(
            "there are {SETUPS} setups, as many as a host has parameters for: remove one first"
        ));
    }
    to.preset.setups.insert(index, setup);
    to.heard = document.heard.map(|heard| if heard >= index { heard + 1 } else { heard });
    Ok(to)
}

fn check(document: &Document, index: usize) -> Result<(), String> {
    match document.preset.setups.get(index) {
        Some(_) => Ok(()),
        None => Err(format!("there is no setup {}: it may have been changed meanwhile", index + 1)),
    }
}

fn names(document: &Document) -> Vec<String> {
    document.preset.setups.iter().map(|setup| setup.name.clone()).collect()
}
