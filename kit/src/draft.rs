use dsp_core::kit::{Entry, Kit, KitError, check_name};
use dsp_core::preset::{PresetError, is_same_name};
use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

use crate::DraftError;

/// The tables of a kit's file.
const TABLES: [&str; 2] = ["pickup", "box"];

/// A kit's file while it is changed. What is not changed stays as the person wrote it, comments too.
#[derive(Debug, Clone)]
pub struct Draft {
    document: DocumentMut,
    kit: Kit,
}

impl Draft {
    /// Of a file's text.
    ///
    /// # Errors
    /// If it is no kit.
    pub fn new(text: &str) -> Result<Self, PresetError> {
        let kit = Kit::from_toml(text)?;
        let mut document: DocumentMut = text.parse().unwrap_or_default();
        if !document.contains_key("version") {
            document.insert("version", Item::Value(Kit::VERSION.into()));
        }
        Ok(Self { document, kit })
    }

    /// What it says now.
    pub const fn kit(&self) -> &Kit {
        &self.kit
    }

    /// Adds an entry, behind those of its kind.
    ///
    /// # Errors
    /// If its name can be none, or is there.
    pub fn add(&mut self, entry: &Entry) -> Result<(), DraftError> {
        self.kit.clone().add(entry.clone())?;
        self.push(entry);
        self.settle()
    }

    /// Puts an entry in place of the one of its name, or adds it. What the other one had is gone, and its place in the file too.
    ///
    /// # Errors
    /// If its name can be none.
    pub fn replace(&mut self, entry: &Entry) -> Result<(), DraftError> {
        check_name(entry.name())?;
        if self.kit.entry(entry.name()).is_some() {
            self.remove(entry.name())?;
        }
        self.add(entry)
    }

    /// Takes an entry away, and the comment above it.
    ///
    /// # Errors
    /// If there is none of this name.
    pub fn remove(&mut self, name: &str) -> Result<(), DraftError> {
        let (table, index) = self.find(name)?;
        let tables = self.tables(table);
        tables.remove(index);
        if tables.is_empty() {
            self.document.remove(table);
        }
        self.settle()
    }

    /// Gives an entry another name.
    ///
    /// # Errors
    /// If there is none of the old name, or the new one can be none or is another entry's.
    pub fn rename(&mut self, name: &str, new: &str) -> Result<(), DraftError> {
        let (table, index) = self.find(name)?;
        check_name(new)?;
        if let Some(there) = self.kit.entry(new).filter(|there| !is_same_name(there.name(), name)) {
            return Err(KitError::There(there.name().to_owned()).into());
        }
        self.set_at(table, index, "name", Some(new))
    }

    /// Gives a field of an entry another value, or takes it away. A part of a field is written behind a point, `transformer.primary`.
    ///
    /// # Errors
    /// If there is no such entry or field, or the entry cannot be without it or have it so.
    pub fn set(&mut self, name: &str, field: &str, value: Option<&str>) -> Result<(), DraftError> {
        let (table, index) = self.find(name)?;
        if field == "name" {
            return self.rename(name, value.unwrap_or_default());
        }
        self.set_at(table, index, field, value)
    }

    fn set_at(
        &mut self,
        table: &str,
        index: usize,
        field: &str,
        value: Option<&str>,
    ) -> Result<(), DraftError> {
        let before = self.document.clone();
        let entry = self.tables(table).get_mut(index).expect("it was found");
        let place = match field.split_once('.') {
            None => Ok((entry as &mut dyn TableLike, field)),
            Some((field, part)) => {
                let parts = entry.entry(field).or_insert(Value::InlineTable(InlineTable::new()).into());
                let parts = parts.as_table_like_mut().ok_or_else(|| DraftError::NoParts(field.to_owned()));
                parts.map(|parts| (parts, part))
            }
        };
        let done = place.map(|(table, key)| put(table, key, value));
        let done = done.and_then(|()| self.settle());
        if done.is_err() {
            self.document = before;
        }
        done
    }

    /// Looks whether it is a kit, with all that came to it.
    fn settle(&mut self) -> Result<(), DraftError> {
        self.kit = Kit::from_toml(&self.document.to_string())
            .map_err(|error| DraftError::Value(Box::new(error.problem)))?;
        Ok(())
    }

    /// Which table of which kind has a name.
    fn find(&mut self, name: &str) -> Result<(&'static str, usize), DraftError> {
        for table in TABLES.into_iter().filter(|table| self.document.contains_key(table)).collect::<Vec<_>>()
        {
            let is_it = |entry: &Table| {
                entry.get("name").and_then(Item::as_str).is_some_and(|own| is_same_name(own, name))
            };
            if let Some(index) = self.tables(table).iter().position(is_it) {
                return Ok((table, index));
            }
        }
        let near = self.kit.near(name).map(str::to_owned);
        Err(DraftError::Unknown { name: name.to_owned(), near })
    }

    /// The tables of a kind; tables in braces within a list become tables of their own.
    fn tables(&mut self, table: &str) -> &mut ArrayOfTables {
        let item = self.document.entry(table).or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
        if !item.is_array_of_tables() {
            let tables = std::mem::take(item).into_array_of_tables();
            *item = Item::ArrayOfTables(tables.unwrap_or_default());
        }
        item.as_array_of_tables_mut().expect("it was made one")
    }

    fn push(&mut self, entry: &Entry) {
        let table = if let Entry::Pickup(_) = entry { "pickup" } else { "box" };
        let written: DocumentMut = entry.to_toml().parse().expect("what is written can be read");
        let new = written[table].as_array_of_tables().and_then(|tables| tables.get(0)).cloned();
        let mut new = new.expect("it has one table");
        new.set_position(None);
        // A line between entries, if nothing else stands there.
        new.decor_mut().set_prefix("\n");
        self.tables(table).push(new);
    }
}

/// As a file.
impl std::fmt::Display for Draft {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.document.fmt(f)
    }
}

/// Gives a key another value, with what stands around it, or takes it away.
fn put(table: &mut dyn TableLike, key: &str, value: Option<&str>) {
    let Some(value) = value else {
        table.remove(key);
        return;
    };
    let mut new = Value::from(value);
    if let Some(old) = table.get(key).and_then(Item::as_value) {
        *new.decor_mut() = old.decor().clone();
    }
    table.insert(key, Item::Value(new));
}
