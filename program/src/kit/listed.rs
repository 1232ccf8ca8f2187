//! A kit as it is told.

use std::path::Path;

use dsp_core::kit::{Entry, Kit};
use firstjack_words::{Words, visible, visible_but};
use serde_json::{Value, json};

use crate::stdout;

/// All of it.
pub fn all(path: &Path, kit: &Kit, is_json: bool) -> String {
    if is_json {
        let of = |pickups: bool| -> Vec<Value> {
            let is_pickup = |entry: &&Entry| matches!(entry, Entry::Pickup(_)) == pickups;
            kit.entries().iter().filter(is_pickup).map(values).collect()
        };
        let path = path.display().to_string();
        return stdout::json(&json!({ "path": path, "pickups": of(true), "boxes": of(false) }));
    }
    let path = path.display().to_string();
    let path = visible(&path);
    if kit.entries().is_empty() {
        return format!(
            "{path}: the kit is empty.\nfirstjack kit add pickup \"our bridge\" \"680p ±6 %\" adds to it.\n"
        );
    }
    let pickups = part("Pickups", kit.entries().iter().filter(|entry| matches!(entry, Entry::Pickup(_))));
    let boxes = part("Boxes", kit.entries().iter().filter(|entry| matches!(entry, Entry::Box(_))));
    format!("{path}\n{pickups}{boxes}")
}

fn part<'k>(title: &str, entries: impl Iterator<Item = &'k Entry>) -> String {
    let words = Words::ENGLISH;
    let line = |entry: &Entry| {
        let (values, origin) = (words.kit_values(entry), words.kit_origin(entry.origin()));
        let remarks = entry.origin().remarks.as_ref();
        let remarks = remarks.map_or_else(String::new, |remarks| format!("\n      {}", visible(remarks)));
        format!("  {}\n      {values}; {origin}{remarks}\n", visible(entry.name()))
    };
    let lines: String = entries.map(line).collect();
    if lines.is_empty() { lines } else { format!("\n{title}:\n{lines}") }
}

/// One entry.
pub fn one(entry: &Entry, is_json: bool) -> String {
    // As a file has it.
    let shown = || visible_but(&entry.to_toml(), &['\n']).into_owned();
    if is_json { stdout::json(&values(entry)) } else { shown() }
}

/// The fields of the file, as texts, with what it is.
fn values(entry: &Entry) -> Value {
    let kind = if let Entry::Pickup(_) = entry { "pickup" } else { "box" };
    let written: toml::Table = toml::from_str(&entry.to_toml()).expect("what is written can be read");
    let mut fields = json!(written[kind][0]);
    fields["kind"] = kind.into();
    fields
}
