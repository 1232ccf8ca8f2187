//! `firstjack votes`: what listeners' answers to a pack's page come to.

mod abx;
mod gather;
mod ranking;
mod report;
mod statistics;
mod words;

use std::io::{self, Read};
use std::path::Path;

use firstjack_kit::named;

use crate::arguments::VotesArguments;
use crate::error::Failure;
use crate::format::{Page, PageError, text};
use crate::name::Name;
use crate::stdout;
use gather::{Gathered, Refused};
use report::Report;

/// Runs the command. Answers that do not count are told after what the others come to.
pub fn run(arguments: &VotesArguments) -> Result<(), Failure> {
    let page = named::open(&arguments.page)
        .map_err(PageError::from)
        .and_then(Page::read)
        .map_err(|error| Failure::input(&arguments.page, error.to_string()))?;
    let mut gathered = Gathered::new(&arguments.apart);
    for path in &arguments.answers {
        let (name, text) = read(path);
        match text {
            Ok(text) => gathered.file(&name, &text, &page),
            Err(error) => gathered.refuse(&name, None, error.into()),
        }
    }
    if let Some(name) = arguments.apart.iter().find(|name| !gathered.has(name)) {
        return Err(Failure::Usage(format!("--apart: {}", nobody(name, &gathered))));
    }
    let report = Report::new(&gathered, &page);
    if arguments.json {
        stdout::print(&report.json())?;
    } else if !gathered.answers.is_empty() {
        stdout::print(&report.to_string())?;
    }
    if gathered.refused.is_empty() { Ok(()) } else { Err(Failure::Refused(refused(&gathered))) }
}

/// A file's name and text; `-` is standard input.
fn read(path: &Path) -> (String, io::Result<Vec<u8>>) {
    if path == Path::new("-") {
        let mut text = Vec::new();
        let read = io::stdin().lock().read_to_end(&mut text);
        return ("standard input".to_owned(), read.map(|_| text));
    }
    (Name::of(path).to_string(), named::read(path))
}

fn nobody(name: &str, gathered: &Gathered) -> String {
    let named = gathered.listeners.iter().filter(|listener| listener.is_named);
    let names: Vec<&str> = named.map(|listener| listener.name.as_str()).collect();
    let name = text::shown(name);
    if names.is_empty() {
        return format!("nobody is named '{name}', since no answer that counts has a name");
    }
    format!("nobody is named '{name}': accepted are {}", names.join(", "))
}

fn refused(gathered: &Gathered) -> String {
    let line = |Refused { file, line, problem }: &Refused| match line {
        Some(line) => format!("\n  {file}:{line}: {problem}"),
        None => format!("\n  {file}: {problem}"),
    };
    let lines: String = gathered.refused.iter().map(line).collect();
    match gathered.answers.len() {
        0 => format!("no answer counts:{lines}"),
        1 => format!("1 answer counts, but not:{lines}"),
        count => format!("{count} answers count, but not:{lines}"),
    }
}
