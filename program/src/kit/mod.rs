//! `firstjack kit`: a person's own pickups and boxes, listed, shown, changed and checked.

mod listed;
mod typed;

use std::path::Path;

use dsp_core::kit::{Entry, Kit, KitError, Remark};
use firstjack_kit::{DraftError, KitFile, KitFileError, named};
use firstjack_words::{Words, visible};

use crate::arguments::{KitArguments, KitCommand, WriteArguments};
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
        KitCommand::Add { kind, name, values, overwrite } => {
            add(&file, typed::entry(*kind, name.trim(), values)?, *overwrite, json)
        }
        KitCommand::Set { name, field, value } => set(&file, name, field, value, json),
        KitCommand::Rename { name, new } => {
            file.change(|draft| draft.rename(name, new.trim()))?;
            let told = format!("'{}' is called '{}' now.\n", visible(name), visible(new.trim()));
            tell(entry(&file.read()?, new)?, &told, json)
        }
        KitCommand::Remove { name } => remove(&file, name, json),
        KitCommand::Check => check(&file, json),
        KitCommand::Path => {
            let path = file.path().display().to_string();
            let told = || format!("{}\n", visible(&path));
            stdout::print(&if json { stdout::json(&serde_json::json!({ "path": path })) } else { told() })
        }
        KitCommand::Embed { file: setups, output, write } => embed(&file, setups, output, write, json),
    }
}

/// What was done with an entry, or the entry as it is now.
fn tell(entry: &Entry, told: &str, json: bool) -> Result<(), Failure> {
    stdout::print(&if json { listed::one(entry, true) } else { told.to_owned() })
}

fn entry<'k>(kit: &'k Kit, name: &str) -> Result<&'k Entry, Failure> {
    let unknown = || {
        let near = kit.near(name).map(str::to_owned);
        KitFileError::Draft(DraftError::Unknown { name: name.to_owned(), near })
    };
    Ok(kit.entry(name).ok_or_else(unknown)?)
}

fn add(file: &KitFile, entry: Entry, overwrite: bool, json: bool) -> Result<(), Failure> {
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
    let mut told = format!("'{name}' is in the kit: {values}; {}.\n", words.kit_origin(entry.origin()));
    for remark in file.read()?.remarks().iter().filter(|remark| remark.is_about(entry.name())) {
        told += &format!("{}\n", remark_said(remark));
    }
    tell(&entry, &told, json)
}

fn set(file: &KitFile, name: &str, field: &str, value: &str, json: bool) -> Result<(), Failure> {
    let value = Some(value).filter(|value| !value.trim().eq_ignore_ascii_case("none"));
    // Another name is looked for by it.
    let now = value.filter(|_| field == "name").unwrap_or(name);
    let (before, after) = file.change(|draft| {
        let before = draft.kit().entry(name).cloned();
        draft.set(name, field, value)?;
        Ok((before, draft.kit().entry(now).cloned()))
    })?;
    let (Some(before), Some(after)) = (before, after) else { return Ok(()) };
    let words = Words::ENGLISH;
    let (values, origin) = (words.kit_values(&after), words.kit_origin(after.origin()));
    let mut told = format!("'{}': {values}; {origin}.\n", visible(after.name()));
    let is_known = after.origin().measured.is_some() || after.origin().method.is_some();
    if is_known && words.kit_values(&before) != values {
        told +=
            "Is that still where the value comes from? If not, set measured and method too, or to none.\n";
    }
    tell(&after, &told, json)
}

fn remove(file: &KitFile, name: &str, json: bool) -> Result<(), Failure> {
    let removed = file.change(|draft| {
        let removed = draft.kit().entry(name).cloned();
        draft.remove(name)?;
        Ok(removed)
    })?;
    let Some(entry) = removed else { return Ok(()) };
    let was = listed::one(&entry, false);
    tell(&entry, &format!("# '{}' is no longer in the kit; it was:\n{was}", visible(entry.name())), json)
}

fn check(file: &KitFile, json: bool) -> Result<(), Failure> {
    let kit = file.read()?;
    let remarks: Vec<String> = kit.remarks().iter().map(remark_said).collect();
    let (pickups, boxes) = (kit.pickups().count(), kit.boxes().count());
    let path = file.path().display().to_string();
    if json {
        let told =
            serde_json::json!({ "path": path, "pickups": pickups, "boxes": boxes, "remarks": remarks });
        return stdout::print(&stdout::json(&told));
    }
    let count =
        |count: usize, one: &str, many: &str| format!("{count} {}", if count == 1 { one } else { many });
    let (pickups, boxes) = (count(pickups, "pickup", "pickups"), count(boxes, "box", "boxes"));
    let remarks: String = remarks.iter().map(|remark| format!("{remark}\n")).collect();
    stdout::print(&format!("{}: {pickups} and {boxes}, all of which can be read.\n{remarks}", visible(&path)))
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

fn embed(
    file: &KitFile,
    setups: &Path,
    output: &Path,
    write: &WriteArguments,
    json: bool,
) -> Result<(), Failure> {
    let text = named::read_to_string(setups)
        .map_err(|error| Failure::input(setups, format!("cannot read it as a file of setups: {error}")))?;
    let refused = |error| Failure::Preset { path: setups.to_owned(), error: Box::new(error) };
    let kit = file.read()?;
    // What is written can be read.
    kit.preset(&text).map_err(refused)?;
    let embedded = kit.embed(&text).map_err(refused)?;
    let mut outputs = Outputs::new(write, [Input { path: setups, is: "the file of setups" }]);
    outputs.add("-o", output, Expected::default())?;
    if !outputs.prepare(json)? {
        return Ok(());
    }
    output::write(&outputs, output, embedded.text.as_bytes())?;
    if json {
        let told = serde_json::json!({ "names": embedded.names });
        return stdout::report(&stdout::json(&told), output);
    }
    let names: Vec<String> = embedded.names.iter().map(|name| format!("'{}'", visible(name))).collect();
    let told = if names.is_empty() {
        "It names nothing of the kit, and is written as it was.".to_owned()
    } else {
        format!("Values stand in place of {}.", names.join(", "))
    };
    stdout::report(&format!("{told}\n"), output)
}
