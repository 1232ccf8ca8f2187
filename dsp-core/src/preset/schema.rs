//! What is made of the fields: the JSON schema for editors, and the list of every field in the guide. Each is kept as a file, which must be what is
//! made here; `FIRSTJACK_ACCEPT_FIELDS=1 cargo test -p dsp-core --lib fields` keeps it anew.

use std::collections::BTreeMap;
use std::fs;

use serde_json::{Value, json};

use super::PickupKind;
use super::fields::{Field, Kind, Layout, Shape, Text};
use super::text::PresetText;

/// The tables that a schema has come upon, by their names.
type Definitions = BTreeMap<&'static str, Value>;

#[test]
fn the_fields_of_the_schema_are_those_of_the_files() {
    let mut definitions = Definitions::new();
    let mut schema = table(&PresetText::layout(), &mut definitions);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = "A file of setups".into();
    schema["description"] = "What a pickup may be plugged into. Firstjack itself looks closer: at values, at the version that a field came with, \
                             and at what follows a box."
        .into();
    schema["$defs"] = json!(definitions);
    kept("presets/setups.schema.json", |_| serde_json::to_string_pretty(&schema).unwrap() + "\n");
}

#[test]
fn the_fields_of_the_guide_are_those_of_the_files() {
    const HEAD: &str = "## Every field\n";
    kept("docs/setups.md", |guide| {
        let (before, _) = guide.split_once(HEAD).expect("a list of every field");
        format!("{before}{HEAD}{}", listed(&PresetText::layout(), "The file"))
    });
}

/// Holds a file against what is made of the one that is there.
fn kept(path: &str, made: impl Fn(&str) -> String) {
    let file = format!("{}/../{path}", env!("CARGO_MANIFEST_DIR"));
    let there = fs::read_to_string(&file).unwrap_or_default();
    let made = made(&there);
    if std::env::var_os("FIRSTJACK_ACCEPT_FIELDS").is_some() {
        fs::write(&file, &made).unwrap();
    } else {
        assert!(there == made, "{path} is not what the fields come to: see the head of {}", file!());
    }
}

fn table(layout: &Layout, definitions: &mut Definitions) -> Value {
    match layout.kinds {
        [kind] => object(layout, kind, definitions),
        kinds => {
            json!({ "anyOf": kinds.iter().map(|kind| object(layout, kind, definitions)).collect::<Vec<_>>() })
        }
    }
}

fn object(layout: &Layout, kind: &Kind, definitions: &mut Definitions) -> Value {
    let is_required = |field: &&Field| !field.is_optional || kind.needs.contains(&field.name);
    let required: Vec<&str> = layout.fields_of(kind).filter(is_required).map(|field| field.name).collect();
    let properties: BTreeMap<&str, Value> =
        layout.fields_of(kind).map(|field| (field.name, property(field, definitions))).collect();
    let mut object = json!({
        "type": "object", "properties": properties, "required": required, "additionalProperties": false,
    });
    if !kind.name.is_empty() {
        object["title"] = kind.name.into();
    }
    if !kind.either.is_empty() {
        let one: Vec<Value> = kind.either.iter().map(|name| json!({ "required": [name] })).collect();
        object["oneOf"] = one.into();
    }
    object
}

fn property(field: &Field, definitions: &mut Definitions) -> Value {
    let mut property = value(&field.shape, definitions);
    property["description"] = format!("{}. Since version {}.", field.about, field.since).into();
    match field.name {
        "setup" => property["minItems"] = 1.into(),
        "blend" => {
            (property["minItems"], property["maxItems"]) = (2.into(), 2.into());
            // Each may be a name of somebody's kit.
            property["items"] = json!({ "anyOf": [{ "type": "string", "minLength": 1 }, property["items"]] });
        }
        _ => {}
    }
    property
}

fn value(shape: &Shape, definitions: &mut Definitions) -> Value {
    match shape {
        Shape::Version(latest) => json!({ "type": "integer", "minimum": 1, "maximum": latest }),
        Shape::Name => json!({ "type": "string" }),
        Shape::Text(text) => written(text),
        Shape::OneOf(words) => json!({ "enum": words.iter().map(|(word, _)| *word).collect::<Vec<_>>() }),
        Shape::Table(layout) => reference(&layout(), definitions),
        Shape::TextOrTable(text, layout) => {
            json!({ "anyOf": [written(text), reference(&layout(), definitions)] })
        }
        Shape::List(of) => json!({ "type": "array", "items": value(of, definitions) }),
    }
}

/// A text that is read: it has a digit, or is a word that is read, or a name of somebody's kit.
fn written(text: &Text) -> Value {
    let kinds = PickupKind::all();
    let words = kinds.iter().flat_map(|kind| [kind.word.as_str(), kind.name.as_str()]).chain(["none"]);
    if text.is_named {
        return json!({ "type": "string", "minLength": 1, "examples": [text.example] });
    }
    let words: Vec<&str> = words.filter(|word| (text.read)(word).is_ok()).collect();
    let digit = json!({ "type": "string", "pattern": "[0-9]", "examples": [text.example] });
    if words.is_empty() { digit } else { json!({ "anyOf": [digit, { "enum": words }] }) }
}

fn reference(layout: &Layout, definitions: &mut Definitions) -> Value {
    if !definitions.contains_key(layout.name) {
        // A branch has links again.
        definitions.insert(layout.name, Value::Null);
        let table = table(layout, definitions);
        definitions.insert(layout.name, table);
    }
    json!({ "$ref": format!("#/$defs/{}", layout.name) })
}

/// The fields of a table, each with how it is written and what it says, and below them those of the tables in it.
fn listed(layout: &Layout, title: &str) -> String {
    let mut text = format!("\n### {title}\n\n");
    let mut below = String::new();
    for field in &layout.fields {
        let since =
            if field.since == 1 { String::new() } else { format!(" (since version {})", field.since) };
        text += &format!("    {}\n", field.example());
        text += &wrapped(&format!("{}{since}", field.about));
        let title = match &field.shape {
            Shape::List(_) if matches!(field.name, "setup" | "venue") => format!("[[{}]]", field.name),
            // Those of a pickup and of a chain.
            Shape::List(_) if matches!(field.name, "blend" | "branch") => continue,
            Shape::List(_) if layout.name == "recorded" => continue,
            Shape::List(_) => format!("Each part of a `{}`", field.name),
            _ => format!("`{}`", field.name),
        };
        below += &inner(&field.shape).map_or_else(String::new, |layout| listed(&layout, &title));
    }
    text + &below
}

fn inner(shape: &Shape) -> Option<Layout> {
    match shape {
        Shape::Table(layout) | Shape::TextOrTable(_, layout) => Some(layout()),
        Shape::List(of) => inner(of),
        _ => None,
    }
}

/// Indented lines that a narrow terminal shows.
fn wrapped(text: &str) -> String {
    const INDENT: &str = "       ";
    let mut lines = vec![INDENT.to_owned()];
    for word in text.split(' ') {
        let line = lines.last_mut().expect("there is one");
        if line.chars().count() + word.chars().count() >= 78 {
            lines.push(format!("{INDENT} {word}"));
        } else {
            line.push(' ');
            line.push_str(word);
        }
    }
    lines.join("\n") + "\n"
}
