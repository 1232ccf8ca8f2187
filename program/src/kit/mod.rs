//! `firstjack kit`: a person's own pickups and boxes, listed, shown, changed and checked.

mod listed;
mod typed;

use std::path::Path;

use dsp_core::kit::{Entry, Kit, KitError, Remark};
use firstjack_kit::{DraftError, KitFile, KitFileError};
use firstjack_words::{Words, visible};

use crate::arguments::{KindArgument, KitArguments, KitCommand, WriteArguments};
use crate::error::Failure;
use crate::output::{self, Expected, Input, Outputs};
use crate::stdout;

/// Runs the command.
pub fn run(arguments: &KitArguments) -> Result<(), Failure> {
    let file = KitFile::find(arguments.kit.as_deref())?;
    let json = arguments.json;
    match arguments.command.as_ref().unwrap_or(&KitCommand::List) {
        KitCommand::List => stdout::print(&listed::all(file.path(), &file.read()?, json)),
        KitCommand::Show { name } => {
            let kit = file.read()?;
            stdout::print(&listed::one(entry(&kit, name)?, json))
        }
        KitCommand::Add { kind, name, values, overwrite } => add(&file, *kind, name, values, *overwrite),
        KitCommand::Set { name, field, value } => set(&file, name, field, value),
        KitCommand::Rename { name, new } => {
            file.change(|draft| draft.rename(name, new.trim()))?;
            say(&format!("'{}' is called '{}' now.", visible(name), visible(new.trim())))
        }
        KitCommand::Remove { name } => remove(&file, name),
        KitCommand::Check => check(&file, json),
        KitCommand::Path => stdout::print(&format!("{}\n", visible(&file.path().display().to_string()))),
        KitCommand::Embed { file: setups, output, write } => embed(&file, setups, output, write),
    }
}

fn say(text: &str) -> Result<(), Failure> {
    stdout::print(&format!("{text}\n"))
}

fn entry<'k>(kit: &'k Kit, name: &str) -> Result<&'k Entry, Failure> {
    let unknown = || {
        let near = kit.near(name).map(str::to_owned);
        KitFileError::Draft(DraftError::Unknown { name: name.to_owned(), near })
    };
    Ok(kit.entry(name).ok_or_else(unknown)?)
}

fn add(
    file: &KitFile,
    kind: KindArgument,
    name: &str,
    values: &[String],
    overwrite: bool,
) -> Result<(), Failure> {
    let entry = typed::entry(kind, name.trim(), values)?;
    let added = file.change(|draft| if overwrite { draft.replace(&entry) } else { draft.add(&entry) });
    match added {
        Err(KitFileError::Draft(DraftError::Name(KitError::There(name)))) => {
            let way = "give another name, change it by firstjack kit set, or replace it with --overwrite";
            return Err(Failure::Usage(format!("'{name}' is in the kit already: {way}")));
        }
        added => added?,
    }
    let words = Words::ENGLISH;
    let (name, values) = (visible(entry.name()), words.kit_values(&entry));
    let mut told = format!("'{name}' is in the kit: {values}; {}.", words.kit_origin(entry.origin()));
    for remark in file.read()?.remarks().iter().filter(|remark| remark.is_about(entry.name())) {
        told += &format!("\n{}", remark_said(remark));
    }
    say(&told)
}

fn set(file: &KitFile, name: &str, field: &str, value: &str) -> Result<(), Failure> {
    let value = Some(value).filter(|value| !value.trim().eq_ignore_ascii_case("none"));
    // Another name is looked for by it.
    let now = value.filter(|_| field == "name").unwrap_or(name);
    let before = file.read().ok().and_then(|kit| kit.entry(name).cloned());
    let entry = file.change(|draft| {
        draft.set(name, field, value)?;
        Ok(draft.kit().entry(now).cloned())
    })?;
    let Some(entry) = entry else { return Ok(()) };
    let words = Words::ENGLISH;
    let (values, origin) = (words.kit_values(&entry), words.kit_origin(entry.origin()));
    let mut told = format!("'{}': {values}; {origin}.", visible(entry.name()));
    let is_changed = before.as_ref().is_some_and(|before| words.kit_values(before) != values);
    if is_changed && (entry.origin().measured.is_some() || entry.origin().method.is_some()) {
        told +=
            "\nIs that still where the value comes from? If not, set measured and method too, or to none.";
    }
    say(&told)
}

fn remove(file: &KitFile, name: &str) -> Result<(), Failure> {
    let removed = file.change(|draft| {
        let removed = draft.kit().entry(name).cloned();
        draft.remove(name)?;
        Ok(removed)
    })?;
    stdout::print(&removed.map_or_else(String::new, |entry| {
        format!("# '{}' is no longer in the kit; it was:\n{}", visible(entry.name()), listed::shown(&entry))
    }))
}

fn check(file: &KitFile, json: bool) -> Result<(), Failure> {
    let kit = file.read()?;
    let remarks: Vec<String> = kit.remarks().iter().map(remark_said).collect();
    let (pickups, boxes) = (kit.pickups().count(), kit.boxes().count());
    if json {
        let path = file.path().display().to_string();
        let told =
            serde_json::json!({ "path": path, "pickups": pickups, "boxes": boxes, "remarks": remarks });
        return stdout::print(&stdout::json(&told));
    }
    let count =
        |count: usize, one: &str, many: &str| format!("{count} {}", if count == 1 { one } else { many });
    let (pickups, boxes) = (count(pickups, "pickup", "pickups"), count(boxes, "box", "boxes"));
    let path = file.path().display().to_string();
    let remarks: String = remarks.iter().map(|remark| format!("\n{remark}")).collect();
    say(&format!("{}: {pickups} and {boxes}, all of which can be read.{remarks}", visible(&path)))
}

/// What may be a slip, as a sentence.
fn remark_said(remark: &Remark) -> String {
    match remark {
        Remark::Near { one, other } => {
            format!("Are '{}' and '{}' two? Their names are nearly the same.", visible(one), visible(other))
        }
        Remark::Kind { name } => {
            let name = visible(name);
            format!(
                "'{name}' is a kind of pickup, too: typed it is yours, in a file of setups it is the kind."
            )
        }
        Remark::NoSpread { name } => {
            let name = visible(name);
            format!(
                "'{name}' was measured, and no value of it has a spread: write it behind the value, as in 680p ±6 %."
            )
        }
    }
}

fn embed(file: &KitFile, setups: &Path, output: &Path, write: &WriteArguments) -> Result<(), Failure> {
    let text = std::fs::read_to_string(setups)
        .map_err(|error| Failure::input(setups, format!("cannot read it as a file of setups: {error}")))?;
    let refused = |error| Failure::Preset { path: setups.to_owned(), error: Box::new(error) };
    let kit = file.read()?;
    // What is written can be read.
    kit.preset(&text).map_err(refused)?;
    let embedded = kit.embed(&text).map_err(refused)?;
    let mut outputs = Outputs::new(write, [Input { path: setups, is: "the file of setups" }]);
    outputs.add("-o", output, Expected::default())?;
    if !outputs.prepare(false)? {
        return Ok(());
    }
    output::write(&outputs, output, embedded.text.as_bytes())?;
    let names: Vec<String> = embedded.names.iter().map(|name| format!("'{}'", visible(name))).collect();
    let told = if names.is_empty() {
        "It names nothing of the kit, and is written as it was.".to_owned()
    } else {
        format!("Values stand in place of {}.", names.join(", "))
    };
    stdout::report(&format!("{told}\n"), output)
}
