use std::collections::HashSet;

use serde::Deserialize;
use serde::de::DeserializeOwned;
use toml::Table;

use super::text::{BoxEntry, KIT, KitText, LevelsText, OriginText, PickupEntry};
use super::{Date, Entry, Kit, KitBox, KitPickup, Method, Origin, check_name};
use crate::preset::check::Checked;
use crate::preset::fields::Field;
use crate::preset::names::folded;
use crate::preset::read::{read_box, read_pickup};
use crate::preset::{PresetError, PresetProblem};

impl Kit {
    /// Reads a kit's file. One without a line of its own is an empty kit.
    ///
    /// # Errors
    /// If it is not TOML, has unknown or missing fields or values that cannot be read, comes from a later version, or has a name that can be
    /// none or that is there twice.
    pub fn from_toml(text: &str) -> Result<Self, PresetError> {
        let checked = Checked::new(text, &KIT)?;
        if checked.is_blank() {
            return Ok(Self::default());
        }
        checked.result()?;
        let problem = |error: toml::de::Error| PresetProblem::Text(error.message().to_owned());
        let file: KitText = toml::from_str(text).map_err(|error| checked.locate(problem(error)))?;
        Self::of(file).map_err(|problem| checked.locate(problem))
    }

    fn of(file: KitText) -> Result<Self, PresetProblem> {
        let pickups = file.pickups.unwrap_or_default().into_iter().map(pickup);
        let boxes = file.boxes.unwrap_or_default().into_iter().map(input_box);
        let mut names = HashSet::new();
        let mut entries = Vec::new();
        for entry in pickups.chain(boxes) {
            let entry = entry?;
            let name = entry.name();
            check_name(name).map_err(|problem| PresetProblem::KitName { place: place(&entry), problem })?;
            if !names.insert(folded(name)) {
                return Err(PresetProblem::SameKitName { place: place(&entry), name: name.to_owned() });
            }
            entries.push(entry);
        }
        Ok(Self { entries })
    }
}

/// What an entry is called where something is wrong with it.
fn place(entry: &Entry) -> String {
    let of = if let Entry::Pickup(_) = entry { "pickup" } else { "box" };
    format!("{of} '{}'", entry.name())
}

fn pickup(PickupEntry(mut table): PickupEntry) -> Result<Entry, PresetProblem> {
    let (name, origin) = origin(&mut table)?;
    let pickup = read_pickup(&values(table)?)?;
    Ok(KitPickup { name, pickup, origin }.into())
}

fn input_box(BoxEntry(mut table): BoxEntry) -> Result<Entry, PresetProblem> {
    let (name, origin) = origin(&mut table)?;
    let levels: LevelsText = values(taken(&mut table, &LevelsText::layout().fields))?;
    table.insert("box".to_owned(), name.into());
    let input = read_box(values(table)?);
    let input =
        input.ok_or_else(|| PresetProblem::Text("a box: its fields are not those of one kind".to_owned()))?;
    Ok(KitBox { input, levels: levels.into(), origin }.into())
}

/// Takes what every entry has, its name first, out of its table.
fn origin(table: &mut Table) -> Result<(String, Origin), PresetProblem> {
    let own = taken(table, &OriginText::layout().fields);
    let OriginText { name, measured, method, remarks } = values(own)?;
    let remarks = remarks.filter(|text| !text.trim().is_empty());
    Ok((name, Origin { measured, method, remarks }))
}

/// Takes fields out of a table, as a table of their own.
fn taken(table: &mut Table, fields: &[Field]) -> Table {
    fields.iter().filter_map(|field| table.remove_entry(field.name)).collect()
}

fn values<T: DeserializeOwned>(table: Table) -> Result<T, PresetProblem> {
    table.try_into().map_err(|error: toml::de::Error| PresetProblem::Text(error.message().to_owned()))
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

impl<'de> Deserialize<'de> for Method {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let known = Self::ALL.into_iter().find(|method| method.text() == text);
        known.ok_or_else(|| serde::de::Error::custom("no such method"))
    }
}
