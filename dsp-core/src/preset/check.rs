//! The text of a file against the fields that its tables have: what of it is unknown, missing, of another kind or cannot be read, and where
//! it stands.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::error::{PresetError, PresetProblem};
use super::fields::{Field, Given, Kind, Layout, Shape, Text};
use super::names::nearest;
use super::syntax::syntax;
use super::text::PresetText;
use crate::circuit::LinkError;

/// The latest format version of a file of setups; versions from 1 on are read.
pub(super) const VERSION: i64 = 5;

/// A file of setups.
pub(crate) const SETUPS: Form = Form { layout: PresetText::layout, latest: VERSION, counts: true };

/// A form of file.
pub(crate) struct Form {
    /// Its tables.
    pub layout: fn() -> Layout,
    /// Its latest version.
    pub latest: i64,
    /// Whether the versions that fields and values came with are its own; where they are not, all that is known here may stand in it.
    pub counts: bool,
}

/// What a file goes without.
const UNRECORDED: &str = "file without recorded";

/// A file's text as TOML, looked through.
pub(crate) struct Checked<'a> {
    form: &'static Form,
    text: &'a str,
    /// What it says of its version, if that is a number.
    version: Option<i64>,
    /// Each table's name for a person, and where it begins.
    places: Vec<(String, usize)>,
    /// What came with later versions than the first, and where.
    given: Vec<(usize, Given)>,
    /// What is wrong, and where.
    wrong: Vec<(usize, PresetProblem)>,
}

/// Only says where a table is.
type Place = str;

impl<'a> Checked<'a> {
    /// # Errors
    /// If it is not TOML.
    pub fn new(text: &'a str, form: &'static Form) -> Result<Self, PresetError> {
        let layout = (form.layout)();
        let table = DeTable::parse(text).map_err(|error| syntax(text, &error, &layout))?;
        let version = table.get_ref().get("version").and_then(|value| value.get_ref().as_integer());
        let version = version.and_then(|value| i64::from_str_radix(value.as_str(), value.radix()).ok());
        let (places, given, wrong) = (Vec::new(), Vec::new(), Vec::new());
        let mut checked = Self { form, text, version, places, given, wrong };
        checked.table(&layout, table.get_ref(), 0, "");
        Ok(checked)
    }

    /// Whether it is what a file of its version may be. Fields that are wrong go before those that are missing: one may be the other.
    ///
    /// # Errors
    /// The first that is wrong.
    pub fn result(&self) -> Result<(), PresetError> {
        // Before anything else: a later version may have fields that would be unknown here.
        if let Some(found) = self.version
            && !(1..=self.form.latest).contains(&found)
        {
            let at = self.text.find("version").unwrap_or(0);
            return Err(self.error(at, PresetProblem::Version { found, accepted: self.form.latest }));
        }
        let found = self.version.unwrap_or(self.form.latest);
        let newer = |(at, given): &(usize, Given)| {
            let Given { name: field, since } = *given;
            let problem = match field {
                UNRECORDED => PresetProblem::NoRecorded { found, since },
                _ => PresetProblem::NewerField { found, field, since },
            };
            (self.form.counts && since > found).then_some((*at, problem))
        };
        let wrong = self.wrong.iter().cloned().chain(self.given.iter().filter_map(newer));
        match wrong.min_by_key(|(at, problem)| (problem.is_absence(), *at)) {
            Some((at, problem)) => Err(self.error(at, problem)),
            None => Ok(()),
        }
    }

    /// Whether it says nothing at all.
    pub fn is_blank(&self) -> bool {
        let said = |line: &str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
        !self.text.lines().any(said)
    }

    /// The earliest version that has all that it says.
    pub fn version_needed(&self) -> i64 {
        self.given.iter().map(|(_, given)| given.since).max().unwrap_or(1)
    }

    /// With the line of the place that a problem names, if it names one.
    pub fn locate(&self, problem: PresetProblem) -> PresetError {
        let place = problem.place();
        let at = self.places.iter().rfind(|(name, _)| Some(name) == place.as_ref()).map(|(_, at)| *at);
        PresetError { line: at.map(|at| self.line(at)), problem }
    }

    fn error(&self, at: usize, problem: PresetProblem) -> PresetError {
        PresetError { line: Some(self.line(at)), problem }
    }

    fn line(&self, at: usize) -> usize {
        line_of(self.text, at)
    }

    fn table(&mut self, layout: &Layout, table: &DeTable<'_>, at: usize, place: &Place) {
        self.places.push((place.to_owned(), at));
        let kind =
            layout.kinds.iter().find(|kind| kind.needs.first().is_none_or(|need| table.contains_key(*need)));
        // Whatever is missing of the only kind there is, it is that.
        let kind = kind.or_else(|| layout.kinds.first().filter(|_| layout.kinds.len() == 1));
        for (name, value) in table {
            let at = name.span().start;
            match layout.field(name.get_ref()) {
                None => self.unknown(layout, kind, name, place),
                Some(field) => {
                    if field.since > 1 {
                        self.given.push((at, Given { name: field.name, since: field.since }));
                    }
                    if let Some(kind) = kind {
                        self.mixed(layout, kind, field, at, place);
                    }
                    let of_branch = (field.name == "branch").then(|| branch_place(table, place));
                    self.value(field, &field.shape, value, of_branch.as_deref().unwrap_or(place));
                }
            }
        }
        match kind {
            Some(kind) => self.complete(layout, kind, table, at, place),
            None => self.wrong.push((at, no_kind(layout, place))),
        }
    }

    fn unknown(
        &mut self,
        layout: &Layout,
        kind: Option<&Kind>,
        name: &Spanned<std::borrow::Cow<'_, str>>,
        place: &Place,
    ) {
        let known: Vec<&'static str> = match kind {
            Some(kind) => layout.fields_of(kind).map(|field| field.name).collect(),
            None => layout.fields.iter().map(|field| field.name).collect(),
        };
        let (span, field) = (name.span(), name.get_ref().to_string());
        let of_file =
            (self.form.layout)().field(&field).is_some_and(|field| !matches!(field.shape, Shape::List(_)));
        let is_of_file = !place.is_empty() && of_file;
        let near = nearest(&field, known.iter().copied()).map(str::to_owned);
        let place = place.to_owned();
        let problem = if is_of_file {
            PresetProblem::OfFile { place, field }
        } else {
            PresetProblem::Unknown { place, field, near, known }
        };
        self.wrong.push((span.start, problem));
    }

    /// Whether a field is not of this kind of its table.
    fn mixed(&mut self, layout: &Layout, kind: &Kind, field: &Field, at: usize, place: &Place) {
        if layout.fields_of(kind).any(|own| own.name == field.name) {
            return;
        }
        let of =
            layout.kinds.iter().find(|other| other.bit & field.of != 0).map_or("a blend", |other| other.name);
        let (place, field, is) = (place.to_owned(), field.name, kind.name);
        self.wrong.push((at, PresetProblem::Mixed { place, field, of, is }));
    }

    /// Whether a table has what its kind needs.
    fn complete(&mut self, layout: &Layout, kind: &Kind, table: &DeTable<'_>, at: usize, place: &Place) {
        let is_needed = |field: &&Field| !field.is_optional || kind.needs.contains(&field.name);
        for field in layout.fields_of(kind).filter(is_needed) {
            if !table.contains_key(field.name) {
                self.wrong.push((at, self.missing(field, place)));
            }
        }
        if place.is_empty() && layout.field("recorded").is_some() && !table.contains_key("recorded") {
            self.given.push((at, Given { name: UNRECORDED, since: 5 }));
        }
        let given = kind.either.iter().filter(|name| table.contains_key(**name)).count();
        if !kind.either.is_empty() && given != 1 {
            let fields =
                kind.either.iter().filter_map(|name| layout.field(name)).map(Field::example).collect();
            let problem = PresetProblem::Either { place: place.to_owned(), is_both: given > 1, fields };
            self.wrong.push((at, problem));
        }
    }

    fn missing(&self, field: &Field, place: &Place) -> PresetProblem {
        if place.is_empty() && field.name == "version" {
            return PresetProblem::NoVersion { accepted: self.form.latest };
        }
        if place.is_empty() && field.name == "setup" {
            return PresetProblem::NoSetups;
        }
        let (place, example, about) = (place.to_owned(), field.example(), field.about);
        PresetProblem::Missing { place, field: field.name, example, about }
    }

    fn value(&mut self, field: &Field, shape: &Shape, value: &Spanned<DeValue<'_>>, place: &Place) {
        let span = value.span();
        match (shape, value.get_ref()) {
            (Shape::Version(_), DeValue::Integer(_)) | (Shape::Name, DeValue::String(_)) => {}
            (Shape::Text(text) | Shape::TextOrTable(text, _), DeValue::String(given)) => {
                self.text(field, text, given, span.start, place);
            }
            (Shape::OneOf(words), DeValue::String(given)) => {
                self.word(field, words, given, span.start, place)
            }
            (Shape::Table(layout) | Shape::TextOrTable(_, layout), DeValue::Table(table)) => {
                let layout = layout();
                self.table(&layout, table, span.start, &inside(field, 0, table, place));
            }
            (Shape::List(of), DeValue::Array(values)) => {
                for (index, value) in values.iter().enumerate() {
                    match (&**of, value.get_ref()) {
                        (Shape::Table(layout) | Shape::TextOrTable(_, layout), DeValue::Table(table)) => {
                            let place = inside(field, index + 1, table, place);
                            self.table(&layout(), table, value.span().start, &place);
                        }
                        _ => {
                            let place = link_place(place, index + 1);
                            self.value(field, of, value, &place);
                            self.places.push((place, value.span().start));
                        }
                    }
                }
            }
            _ => self.other(field, shape, value, place),
        }
    }

    fn text(&mut self, field: &Field, text: &Text, given: &str, at: usize, place: &Place) {
        let asked = text
            .asks
            .filter(|_| self.version == Some(self.form.latest))
            .map_or(Ok(()), |asks| asks(given).map(drop));
        match asked.map_err(LinkError::from).and_then(|()| (text.read)(given)) {
            Ok(newer) => self.given.extend(newer.map(|newer| (at, newer))),
            Err(error) => {
                let (place, field) = (place.to_owned(), field.name);
                self.wrong.push((at, PresetProblem::Value { place, field, error: Box::new(error) }));
            }
        }
    }

    fn word(&mut self, field: &Field, words: &[(&'static str, i64)], given: &str, at: usize, place: &Place) {
        match words.iter().find(|(word, _)| *word == given) {
            Some((name, since)) => self.given.push((at, Given { name, since: *since })),
            None => {
                let accepted = words.iter().map(|(word, _)| *word).collect();
                let (place, field, given) = (place.to_owned(), field.name, given.to_owned());
                self.wrong.push((at, PresetProblem::Choice { place, field, given, accepted }));
            }
        }
    }

    /// A value that is nothing a field may hold.
    fn other(&mut self, field: &Field, shape: &Shape, value: &Spanned<DeValue<'_>>, place: &Place) {
        let (span, place, name) = (value.span(), place.to_owned(), field.name);
        let problem = match (shape, value.get_ref()) {
            (Shape::List(_), DeValue::Table(_)) if place.is_empty() => {
                PresetProblem::OneTable { field: name }
            }
            (Shape::Table(_) | Shape::TextOrTable(..), DeValue::Array(_)) if place.is_empty() => {
                PresetProblem::ManyTables { field: name }
            }
            _ => PresetProblem::Type {
                place,
                field: name,
                given: self.given_as(span.clone()),
                example: shape.example(),
            },
        };
        self.wrong.push((span.start, problem));
    }

    /// A value as it is written, in short.
    fn given_as(&self, span: Range<usize>) -> String {
        let line = self.text.get(span).unwrap_or_default().lines().next().unwrap_or_default();
        if line.chars().count() > 40 {
            line.chars().take(40).chain("...".chars()).collect()
        } else {
            line.to_owned()
        }
    }
}

/// The line, counted from 1, of a place in a text.
pub(crate) fn line_of(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count()
}

fn no_kind(layout: &Layout, place: &Place) -> PresetProblem {
    let example = |name: &&str| layout.field(name).map(Field::example);
    let of_kind = |kind: &Kind| {
        let needs: Vec<String> = kind.needs.iter().filter_map(example).collect();
        format!("{} ({})", needs.join(", "), kind.name)
    };
    PresetProblem::NoKind { place: place.to_owned(), accepted: layout.kinds.iter().map(of_kind).collect() }
}

/// What a table inside another is called; `number` counts the tables of a list from 1.
fn inside(field: &Field, number: usize, table: &DeTable<'_>, place: &Place) -> String {
    match field.name {
        // Of several, each has a name.
        one @ ("setup" | "venue" | "pickup" | "box") if number > 0 => {
            text_of(table, "name").map_or_else(|| format!("{one} {number}"), |name| format!("{one} '{name}'"))
        }
        "blend" => format!("blend, pickup {number}"),
        "chain" | "branch" => link_place(place, number),
        _ if place.is_empty() => field.name.to_owned(),
        _ => format!("{place}, {}", field.name),
    }
}

/// What a splitter's branch is called: the splitter is a link of the chain at the place before the last comma.
fn branch_place(splitter: &DeTable<'_>, place: &Place) -> String {
    let chain = place.rsplit_once(", ").map_or(place, |(chain, _)| chain);
    format!("{chain}, branch of '{}'", text_of(splitter, "splitter").unwrap_or_default())
}

fn text_of<'t>(table: &'t DeTable<'_>, field: &str) -> Option<&'t str> {
    table.get(field).and_then(|value| value.get_ref().as_str())
}

/// What a link of a chain is called, counted from 1.
pub(crate) fn link_place(place: &str, number: usize) -> String {
    format!("{place}, link {number}")
}
