//! What a run writes: which targets it may have, temporary names until all is there, and what killed runs left behind.
//!
//! A target is checked, its folder tried and the room asked for before anything is worked on. Until it is complete it bears a temporary name in
//! the folder of its target; it is synced to disk, then named, and the folder synced: whenever the program or the machine stops, the target's
//! name has nothing, what it had before, or all of what is new.

mod announcement;
mod folder;
mod kind;
mod leftovers;
mod name;
mod part;
mod room;
mod target;
#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};

use crate::arguments::WriteArguments;
use crate::error::Failure;
use crate::stdout;
use announcement::Announcement;
use folder::NewFolder;
use target::Target;

pub use kind::kind_of;
pub use name::numbered;
pub use part::Part;
pub use target::{is_standard, scratch};

/// A file that the run reads, and what it is to the run: "the take".
pub struct Input<'a> {
    pub path: &'a Path,
    pub is: &'static str,
}

/// What is known of a file before it is written.
#[derive(Debug, Clone, Copy, Default)]
pub struct Expected {
    pub bytes: Option<u64>,
    /// Of sound.
    pub seconds: Option<f64>,
}

/// All outputs of one run.
pub struct Outputs {
    overwrite: bool,
    dry_run: bool,
    verbose: bool,
    inputs: Vec<(PathBuf, &'static str)>,
    targets: Vec<Target>,
    folder: Option<NewFolder>,
}

impl Outputs {
    /// Of a run that reads these files.
    pub fn new<'a>(write: &WriteArguments, inputs: impl IntoIterator<Item = Input<'a>>) -> Self {
        let inputs = inputs.into_iter().map(|input| (input.path.to_owned(), input.is)).collect();
        let WriteArguments { overwrite, dry_run, verbose } = *write;
        Self { overwrite, dry_run, verbose, inputs, targets: Vec::new(), folder: None }
    }

    /// Takes a folder for a set, and creates it if it is new; it goes again if nothing comes of the set.
    ///
    /// # Errors
    /// If it is no folder, or cannot be created.
    pub fn folder(&mut self, folder: &Path) -> Result<(), Failure> {
        folder::check(folder)?;
        self.folder = Some(NewFolder::create(folder)?);
        Ok(())
    }

    /// Takes a target, given by `option`.
    ///
    /// # Errors
    /// If nothing may be written there: it exists and is not to be replaced, is no regular file, is read by this run, is a target already,
    /// has a name that the system does not take, or no folder.
    pub fn add(&mut self, option: &'static str, path: &Path, expected: Expected) -> Result<(), Failure> {
        let target = Target::new(option, path, expected)?;
        target.check_kind()?;
        self.inputs.iter().try_for_each(|(input, is)| target.check_input(input, is))?;
        target.check(self.overwrite)?;
        self.targets.iter().try_for_each(|other| target.check_other(other))?;
        self.targets.push(target);
        Ok(())
    }

    /// Tries what can be tried before the work begins: a file in every folder, and the room for all. Clears away what killed runs left there.
    /// Says what is read and written if that was asked for; false if nothing else was.
    ///
    /// # Errors
    /// If a folder takes no file, treats two targets' names as one, or its disk has too little room.
    pub fn prepare(&self, json: bool) -> Result<bool, Failure> {
        let mut folders: Vec<&Path> = Vec::new();
        for target in &self.targets {
            if folders.contains(&target.folder()) {
                continue;
            }
            folders.push(target.folder());
            if !self.dry_run {
                leftovers::clear(target.folder());
            }
            let within: Vec<&Target> =
                self.targets.iter().filter(|other| other.folder() == target.folder()).collect();
            if target::ignores_case(part::temporary(target)?.path()) {
                within.iter().try_for_each(|target| target.check_case(&within))?;
            }
            room::check(target.folder(), within.iter().map(|target| target.bytes()).sum())?;
        }
        self.announce(json)?;
        Ok(!self.dry_run)
    }

    fn announce(&self, json: bool) -> Result<(), Failure> {
        let announcement = || Announcement::new(&self.inputs, &self.targets);
        match (self.dry_run, json) {
            (true, true) => stdout::print(&announcement().json()),
            (true, false) => stdout::print(&announcement().to_string()),
            (false, _) if self.verbose => stdout::tell_aside(&announcement().to_string()),
            _ => Ok(()),
        }
    }

    /// A target's file, under its temporary name.
    ///
    /// # Errors
    /// If the system does not create it.
    ///
    /// # Panics
    /// If the target was not added before.
    pub fn create(&self, path: &Path) -> Result<Part, Failure> {
        let target = self.targets.iter().find(|target| target.path() == path).expect("it was added");
        Part::create(target, self.overwrite)
    }

    /// Something is there: the folder stays.
    pub fn keep(&mut self) {
        self.folder.take().into_iter().for_each(NewFolder::keep);
    }
}

/// Writes one small file that was not worked on for long: checked, complete, or not there.
///
/// # Errors
/// As of [`Outputs::add`], [`Outputs::prepare`] and [`Part::publish`].
pub fn write(outputs: &Outputs, path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let mut part = outputs.create(path)?;
    part.fill(bytes)?;
    part.publish()
}
