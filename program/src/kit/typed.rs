//! An entry as it is typed: a value, and fields.

use dsp_core::circuit::{Input, InputBox, Link, Thru};
use dsp_core::kit::{Entry, Kit, check_name};
use dsp_core::units::{Capacitance, Inductance};
use toml::{Table, Value};

use crate::arguments::KindArgument;
use crate::error::Failure;

/// The entry that is described, as a file would.
pub fn entry(kind: KindArgument, name: &str, values: &[String]) -> Result<Entry, Failure> {
    check_name(name).map_err(|problem| Failure::Usage(problem.to_string()))?;
    let mut fields = Table::new();
    fields.insert("name".to_owned(), name.into());
    for text in values {
        match text.split_once('=').filter(|(field, _)| is_field(field)) {
            Some((field, value)) => put(&mut fields, field, value)?,
            None => said(kind, text)?
                .into_iter()
                .try_for_each(|(field, value)| put(&mut fields, field, &value))?,
        }
    }
    let table = if kind == KindArgument::Pickup { "pickup" } else { "box" };
    let file: Table = [
        ("version".to_owned(), Kit::VERSION.into()),
        (table.to_owned(), Value::Array(vec![Value::Table(fields)])),
    ]
    .into_iter()
    .collect();
    // Nobody has seen its lines.
    let kit = Kit::from_toml(&file.to_string()).map_err(|error| Failure::Usage(error.problem.to_string()))?;
    Ok(kit.entries().first().expect("it has one entry").clone())
}

fn is_field(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_lowercase() || c == '_' || c == '.')
}

fn put(fields: &mut Table, field: &str, value: &str) -> Result<(), Failure> {
    let twice = || Failure::Usage(format!("{field} is given twice: give it once"));
    let (table, field) = match field.split_once('.') {
        None => (fields, field),
        Some((outer, part)) => {
            let parts = fields.entry(outer).or_insert_with(|| Value::Table(Table::new()));
            (parts.as_table_mut().ok_or_else(twice)?, part)
        }
    };
    match table.insert(field.to_owned(), value.into()) {
        None => Ok(()),
        Some(_) => Err(twice()),
    }
}

type Fields = Vec<(&'static str, String)>;

/// The fields that a value without one stands for: of a pickup its capacitance or inductance, of a box what a link of a chain says.
fn said(kind: KindArgument, text: &str) -> Result<Fields, Failure> {
    if kind == KindArgument::Pickup {
        let field = if text.parse::<Capacitance>().is_err() && text.parse::<Inductance>().is_ok() {
            "inductance"
        } else {
            "capacitance"
        };
        return Ok(vec![(field, text.to_owned())]);
    }
    let link = text.parse::<Link>().map_err(|error| Failure::Usage(error.to_string()))?;
    let Link::Box(InputBox { input, thru, .. }) = link else {
        let accepted = "accepted are 1M, '1M buffered', 'transformer 140k'";
        return Err(Failure::Usage(format!("'{text}' is no input of a box: {accepted}")));
    };
    let main = match input {
        Input::Resistance(value) => ("input", value.to_string()),
        // By its nominal input alone.
        Input::Transformer(_) => ("transformer", usual(text)),
    };
    let thru = thru.map(|thru| {
        let thru = match thru {
            Thru::Before => "before",
            Thru::After => "after",
            Thru::Active => "active",
        };
        ("thru", thru.to_owned())
    });
    Ok([Some(main), thru].into_iter().flatten().collect())
}

/// `transformer 140k buffered` as a field has it, `usual 140k`.
fn usual(text: &str) -> String {
    let words = text.split_whitespace().filter(|word| !["buffered", "unbuffered", "active"].contains(word));
    words.collect::<Vec<_>>().join(" ").replacen("transformer", "usual", 1)
}
