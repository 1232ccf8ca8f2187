//! The person's kit, where a text is no value: it is read when the first such text comes.

use std::cell::{OnceCell, RefCell};
use std::path::Path;

use dsp_core::circuit::Link;
use dsp_core::kit::{Entry, Kit, KitError, KitPickup, Levels, TypedLoad};
use dsp_core::preset::{Preset, PresetError, PresetProblem};
use firstjack_kit::{KitFile, KitFileError};

use crate::arguments::KitFileArguments;
use crate::error::Failure;

/// The kit of a run, and what of it was used.
#[derive(Default)]
pub struct OwnKit {
    said: KitFileArguments,
    read: OnceCell<Kit>,
    used: RefCell<Vec<Entry>>,
}

impl OwnKit {
    /// A kit that was said for this run is read at once, so that a slip in its name is told.
    pub fn new(said: &KitFileArguments) -> Result<Self, Failure> {
        let own = Self { said: said.clone(), ..Self::default() };
        if said.kit.is_some() {
            own.kit()?;
        }
        Ok(own)
    }

    fn kit(&self) -> Result<&Kit, Failure> {
        if let Some(kit) = self.read.get() {
            return Ok(kit);
        }
        let kit = match KitFile::find(self.said.kit.as_deref()) {
            // Where there is no place for one, nobody has one.
            Err(KitFileError::Nowhere) => Kit::default(),
            file => file?.read()?,
        };
        Ok(self.read.get_or_init(|| kit))
    }

    /// What was used of it so far, each entry once.
    pub fn used(&self) -> Vec<Entry> {
        self.used.borrow().clone()
    }

    fn note(&self, name: &str) {
        let entry = self.read.get().and_then(|kit| kit.entry(name));
        let mut used = self.used.borrow_mut();
        if let Some(entry) = entry.filter(|entry| !used.contains(entry)) {
            used.push(entry.clone());
        }
    }

    /// The levels of an audio interface of the kit.
    pub fn levels(&self, option: &str, name: &str) -> Result<Levels, Failure> {
        let kit = self.kit()?;
        let Some(found) = kit.input_box(name) else {
            let near = kit.near(name).map_or_else(String::new, |near| format!(" (is it '{near}'?)"));
            let accepted = "accepted is the name of a box of the kit";
            return Err(Failure::Usage(format!("{option}: '{name}' is not in the kit{near}: {accepted}")));
        };
        if found.levels == Levels::default() {
            let way = format!("firstjack kit set '{name}' out_dbu_at_full_scale '18 dBu' says one");
            return Err(Failure::Usage(format!("{option}: the kit says no level of '{name}': {way}")));
        }
        self.note(&found.input.name);
        Ok(found.levels)
    }

    /// A load that was typed.
    pub fn load(&self, option: &str, text: &str) -> Result<TypedLoad, Failure> {
        let load = self.named(option, |kit| kit.load(text))?;
        load.names.iter().for_each(|name| self.note(name));
        Ok(load)
    }

    /// A cable or a box that was typed.
    pub fn link(&self, option: &str, text: &str) -> Result<Link, Failure> {
        let link = self.named(option, |kit| kit.link(text))?;
        link.name().into_iter().for_each(|name| self.note(name));
        Ok(link)
    }

    /// What can be read with the kit, if not without.
    fn named<T>(&self, option: &str, read: impl Fn(&Kit) -> Result<T, KitError>) -> Result<T, Failure> {
        let refused = |error: KitError| Failure::Usage(format!("{option}: {error}"));
        let error = match read(&Kit::default()) {
            Ok(value) => return Ok(value),
            Err(error) => error,
        };
        match self.kit() {
            Ok(kit) => read(kit).map_err(refused),
            // A slip in a value is one, whatever is wrong with the kit.
            Err(_) if matches!(error, KitError::Link(_)) => Err(refused(error)),
            Err(failure) => Err(failure),
        }
    }

    /// The pickup that a text names, if it names one. A text with digits that names none may be a value with a slip, whatever is wrong with the
    /// kit.
    pub fn pickup(&self, text: &str) -> Result<Option<KitPickup>, Failure> {
        let is_word = !text.contains(|c: char| c.is_ascii_digit());
        let kit = match self.kit() {
            Err(failure) if is_word => return Err(failure),
            kit => kit.ok(),
        };
        let found = kit.and_then(|kit| kit.pickup(text)).cloned();
        found.iter().for_each(|pickup| self.note(&pickup.name));
        Ok(found)
    }

    /// What is to be said of a text that is no pickup: that it is a box, or what was probably meant.
    pub fn hint(&self, text: &str) -> String {
        let Ok(kit) = self.kit() else { return String::new() };
        let near = || kit.near(text).map(|near| format!(", nor in the kit (is it '{near}'?)"));
        match kit.input_box(text) {
            Some(_) => ", but a box of the kit".to_owned(),
            None => near().unwrap_or_default(),
        }
    }

    /// A file of setups, in which names of the kit may stand.
    pub fn preset(&self, path: &Path, text: &str) -> Result<Preset, Failure> {
        let refused = |error: PresetError| Failure::Preset { path: path.to_owned(), error: Box::new(error) };
        let error = match Preset::from_toml(text) {
            Ok(preset) => return Ok(preset),
            Err(error) => error,
        };
        let Err(unnamed) = Kit::default().embed(text) else { return Err(refused(error)) };
        match self.kit() {
            Ok(kit) => {
                let (preset, names) = kit.preset(text).map_err(refused)?;
                names.iter().for_each(|name| self.note(name));
                Ok(preset)
            }
            Err(failure) if matches!(unnamed.problem, PresetProblem::NotInKit { .. }) => Err(failure),
            Err(_) => Err(refused(error)),
        }
    }
}
