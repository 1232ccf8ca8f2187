//! `firstjack new`: a file of setups to start from, full of comments.

use std::path::Path;

use crate::arguments::{NewArguments, WriteArguments};
use crate::error::Failure;
use crate::name::Name;
use crate::output::{self, Expected, Outputs, is_standard};
use crate::stdout;

/// What it begins as.
const STARTER: &str = include_str!("venue.toml");

/// The JSON schema of such files, and what it is called beside one.
const SCHEMA: &str = include_str!("../../../presets/setups.schema.json");
const SCHEMA_NAME: &str = "setups.schema.json";

/// Runs the command.
pub fn run(arguments: &NewArguments) -> Result<(), Failure> {
    let path = &arguments.file;
    let schema = arguments.schema.then(|| path.with_file_name(SCHEMA_NAME));
    // One that is there as it would be written serves this file too.
    let schema = schema.filter(|schema| !std::fs::read(schema).is_ok_and(|there| there == SCHEMA.as_bytes()));
    let mut outputs = Outputs::new(&WriteArguments { overwrite: false, dry_run: false, verbose: false }, []);
    for file in [Some(path), schema.as_ref()].into_iter().flatten() {
        outputs.add("the file", file, Expected::default()).map_err(kept)?;
    }
    outputs.prepare(false)?;
    if let Some(schema) = &schema {
        output::write(&outputs, schema, SCHEMA.as_bytes()).map_err(kept)?;
    }
    output::write(&outputs, path, starter(arguments.schema).as_bytes()).map_err(kept)?;
    if is_standard(path) { Ok(()) } else { stdout::print(&next(path)) }
}

/// With the line by which an editor of TOML finds the schema, if it is there.
fn starter(with_schema: bool) -> String {
    if with_schema { format!("#:schema ./{SCHEMA_NAME}\n\n{STARTER}") } else { STARTER.to_owned() }
}

fn next(path: &Path) -> String {
    let name = Name::of(path);
    format!("{name} is there: change it in any editor, then: firstjack tell --setups \"{name}\"\n")
}

/// Nothing is ever replaced, so no option is offered that would.
fn kept(failure: Failure) -> Failure {
    match failure {
        Failure::Exists { path, .. } => {
            Failure::Usage(format!("{}: it exists, and stays as it is; give another name", path.display()))
        }
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use dsp_core::preset::Preset;
    use serde_json::Value;

    use super::*;

    #[test]
    fn it_reads_at_once() {
        let preset = Preset::from_toml(STARTER).unwrap();
        assert!(preset.setups.len() >= 3 && !preset.says_recorded);
        assert_eq!(preset.remarks(), []);
        assert_eq!(Preset::from_toml(&starter(true)), Ok(preset));
    }

    /// Blocks of lines that are fields behind their `#`: where they stand, and what they say.
    fn blocks() -> Vec<(usize, String)> {
        let mut blocks: Vec<(usize, String)> = Vec::new();
        let mut last = None;
        for (number, line) in STARTER.lines().enumerate() {
            let Some(field) = line
                .strip_prefix('#')
                .filter(|rest| !rest.is_empty() && !rest.starts_with(' ') || last == Some(number))
            else {
                continue;
            };
            if field.starts_with(' ') && !field.starts_with("    ") || field.is_empty() {
                continue;
            }
            match blocks.last_mut() {
                Some((_, block)) if last == Some(number) => *block += &format!("{field}\n"),
                _ => blocks.push((number, format!("{field}\n"))),
            }
            last = Some(number + 1);
        }
        blocks
    }

    /// With one block's `#` taken away; the line that it stands in the place of goes.
    fn uncommented(first: usize, block: &str) -> String {
        let is_pickup =
            block.starts_with("pickup") || block.starts_with("[pickup]") || block.starts_with("[[blend]]");
        let lines = STARTER.lines().enumerate().map(|(number, line)| {
            let within = (first..first + block.lines().count()).contains(&number);
            if is_pickup && line.starts_with("pickup = ") {
                String::new()
            } else if within {
                format!("{}\n", &line[1..])
            } else {
                format!("{line}\n")
            }
        });
        lines.collect()
    }

    #[test]
    fn what_is_commented_out_reads_too() {
        let blocks = blocks();
        assert!(blocks.len() >= 12, "{blocks:?}");
        for (first, block) in blocks {
            let text = uncommented(first, &block);
            assert_ne!(text, STARTER, "{block}");
            let read = Preset::from_toml(&text);
            assert!(read.is_ok(), "{}\n{block}", read.unwrap_err());
        }
    }

    /// Every field of every table is there, as the schema knows them.
    #[test]
    fn every_field_is_shown() {
        fn fields(schema: &Value, found: &mut BTreeSet<String>) {
            match schema {
                Value::Object(map) => {
                    if let Some(Value::Object(properties)) = map.get("properties") {
                        found.extend(properties.keys().cloned());
                    }
                    map.values().for_each(|value| fields(value, found));
                }
                Value::Array(values) => values.iter().for_each(|value| fields(value, found)),
                _ => {}
            }
        }
        let mut found = BTreeSet::new();
        fields(&serde_json::from_str(SCHEMA).unwrap(), &mut found);
        assert!(found.len() > 40, "{found:?}");
        for field in found {
            let is_shown =
                [format!("{field} = "), format!("[{field}]")].iter().any(|shown| STARTER.contains(shown));
            assert!(is_shown, "{field}");
        }
    }
}
