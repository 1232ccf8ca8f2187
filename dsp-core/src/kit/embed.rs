//! Values of a kit in place of its names in a file of setups. Each is put where the name stood, on the same line, so that all else of the file,
//! comments too, stays as it is.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::typed::is_name;
use super::{Kit, KitError};
use crate::circuit::Link;
use crate::preset::check::{SETUPS, line_of, link_place};
use crate::preset::syntax::syntax;
use crate::preset::write::{inline, link_fields, link_texts, pickup_fields};
use crate::preset::{Preset, PresetError, PresetProblem};
use crate::units::Load;

/// A file of setups that needs no kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Embedded {
    /// The file.
    pub text: String,
    /// The names that stood in it, as the kit spells them, each once.
    pub names: Vec<String>,
}

impl Kit {
    /// Writes the values of the kit into a file of setups, wherever its names stand in it: as a pickup, in a load or as a box of a chain. A text that
    /// a file may have without a kit keeps its meaning: "bridge" is the kind of pickup.
    ///
    /// # Errors
    /// If the file is not TOML, is of a version before 5, which had no texts there, or has a name that is not in the kit. Whatever else is wrong
    /// with it stays as it is.
    pub fn embed(&self, text: &str) -> Result<Embedded, PresetError> {
        let table = DeTable::parse(text).map_err(|error| syntax(text, &error, &(SETUPS.layout)()))?;
        let mut walk = Walk { kit: self, edits: Vec::new(), names: Vec::new(), wrong: None };
        walk.file(table.get_ref());
        let located = |(at, problem)| PresetError { line: Some(line_of(text, at)), problem };
        if let Some(wrong) = walk.wrong {
            return Err(located(wrong));
        }
        let version = table.get_ref().get("version").and_then(|version| version.get_ref().as_integer());
        let found = version.and_then(|version| version.as_str().parse().ok()).unwrap_or(SETUPS.latest);
        if let Some((range, _)) = walk.edits.first().filter(|_| found < SINCE) {
            let problem = PresetProblem::NewerField { found, field: "name of a kit", since: SINCE };
            return Err(located((range.start, problem)));
        }
        let mut written = text.to_owned();
        walk.edits.sort_by_key(|(range, _)| std::cmp::Reverse(range.start));
        walk.edits.into_iter().for_each(|(range, value)| written.replace_range(range, &value));
        Ok(Embedded { text: written, names: walk.names })
    }

    /// Reads a file of setups in which names of the kit may stand; they come back as well.
    ///
    /// # Errors
    /// As of [`Kit::embed`] and [`Preset::from_toml`].
    pub fn preset(&self, text: &str) -> Result<(Preset, Vec<String>), PresetError> {
        let Embedded { text, names } = self.embed(text)?;
        Ok((Preset::from_toml(&text)?, names))
    }
}

/// The version of a file of setups since which texts may stand in place of tables.
const SINCE: i64 = 5;

struct Walk<'a> {
    kit: &'a Kit,
    /// What is written in place of what.
    edits: Vec<(Range<usize>, String)>,
    names: Vec<String>,
    /// The first thing that cannot be.
    wrong: Option<(usize, PresetProblem)>,
}

type Given<'a> = Spanned<DeValue<'a>>;

impl Walk<'_> {
    fn file(&mut self, file: &DeTable<'_>) {
        if let Some(value) = file.get("pickup") {
            self.pickup(value, "", "pickup");
        }
        for value in file.get("blend").into_iter().flat_map(items) {
            self.pickup(value, "", "blend");
        }
        if let Some(value) = file.get("recorded") {
            match value.get_ref() {
                DeValue::Table(table) => self.chain(table, "recorded"),
                _ => self.load(value, value.span(), ["{ ", " }"], "", "recorded"),
            }
        }
        for (setup, number) in file.get("setup").into_iter().flat_map(items).zip(1..) {
            let DeValue::Table(table) = setup.get_ref() else { continue };
            let name = table.get("name").and_then(|name| name.get_ref().as_str());
            self.chain(
                table,
                &name.map_or_else(|| format!("setup {number}"), |name| format!("setup '{name}'")),
            );
        }
    }

    fn pickup(&mut self, value: &Given<'_>, place: &str, field: &'static str) {
        let Some(text) = value.get_ref().as_str() else { return };
        if crate::preset::text::of_pickup(text).is_ok() {
            return;
        }
        match self.kit.pickup(text) {
            Some(pickup) => {
                self.edit(value.span(), inline(&pickup_fields(&pickup.pickup)), &pickup.name);
            }
            None => self.missing(text, value.span().start, place, field),
        }
    }

    /// A setup, or what was recorded through.
    fn chain(&mut self, table: &DeTable<'_>, place: &str) {
        if let Some((key, value)) = table.get_key_value("load") {
            self.load(value, key.span().start..value.span().end, ["", ""], place, "load");
        }
        self.links(table.get("chain"), place, "chain");
    }

    fn links(&mut self, list: Option<&Given<'_>>, place: &str, field: &'static str) {
        for (link, number) in list.into_iter().flat_map(items).zip(1..) {
            match link.get_ref() {
                DeValue::Table(table) => self.links(table.get("branch"), place, "branch"),
                DeValue::String(text) => self.link(text, link.span(), &link_place(place, number), field),
                _ => {}
            }
        }
    }

    fn link(&mut self, text: &str, span: Range<usize>, place: &str, field: &'static str) {
        match (text.parse::<Link>(), self.kit.link(text)) {
            (Ok(_), _) => {}
            (Err(_), Ok(link)) => {
                let name = link.name().unwrap_or_default().to_owned();
                self.edit(span, inline(&link_fields(&link, false)), &name);
            }
            (Err(_), Err(error)) => self.refused(error, span.start, place, field),
        }
    }

    /// A load, which becomes a chain within `braces` where what is at `range` stood.
    fn load(
        &mut self,
        value: &Given<'_>,
        range: Range<usize>,
        braces: [&str; 2],
        place: &str,
        field: &'static str,
    ) {
        let Some(text) = value.get_ref().as_str() else { return };
        if text.parse::<Load>().is_ok() {
            return;
        }
        match self.kit.load(text) {
            Ok(load) => {
                let [before, behind] = braces;
                let links = link_texts(&load.chain).join(", ");
                let written = format!("{before}chain = [{links}]{behind}");
                load.names.iter().for_each(|name| self.name(name));
                self.edits.push((range, written));
            }
            Err(error) => self.refused(error, value.span().start, place, field),
        }
    }

    fn edit(&mut self, range: Range<usize>, value: String, name: &str) {
        self.name(name);
        self.edits.push((range, value));
    }

    fn name(&mut self, name: &str) {
        if !self.names.iter().any(|known| known == name) {
            self.names.push(name.to_owned());
        }
    }

    fn refused(&mut self, error: KitError, at: usize, place: &str, field: &'static str) {
        match error {
            KitError::Link(error) => {
                let (place, error) = (place.to_owned(), Box::new(error));
                self.note(at, PresetProblem::Value { place, field, error });
            }
            KitError::Unknown { name, near, .. } => {
                let place = place.to_owned();
                self.note(at, PresetProblem::NotInKit { place, field, name, near });
            }
            problem => {
                let (place, problem) = (place.to_owned(), Box::new(problem));
                self.note(at, PresetProblem::Together { place, field, problem });
            }
        }
    }

    fn missing(&mut self, text: &str, at: usize, place: &str, field: &'static str) {
        if let Some(input) = self.kit.input_box(text) {
            return self.refused(KitError::IsBox(input.input.name.clone()), at, place, field);
        }
        let near = self.kit.near(text).map(str::to_owned);
        if near.is_some() || is_name(text) {
            let (place, name) = (place.to_owned(), text.to_owned());
            self.note(at, PresetProblem::NotInKit { place, field, name, near });
        }
    }

    fn note(&mut self, at: usize, problem: PresetProblem) {
        if self.wrong.as_ref().is_none_or(|(first, _)| at < *first) {
            self.wrong = Some((at, problem));
        }
    }
}

fn items<'v, 'i>(list: &'v Given<'i>) -> impl Iterator<Item = &'v Given<'i>> {
    let items = if let DeValue::Array(items) = list.get_ref() { Some(items) } else { None };
    items.into_iter().flat_map(|items| items.iter())
}
