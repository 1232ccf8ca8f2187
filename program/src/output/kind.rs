use std::path::Path;

use super::target::is_standard;
use crate::error::Failure;

/// What an output becomes, of kinds by their extensions: as its name says, which has to agree with what was asked for with `--format`; to
/// standard output the first one unless asked.
pub fn kind_of<Kind: Copy + PartialEq>(
    output: &Path,
    asked: Option<Kind>,
    kinds: &[(&str, Kind)],
) -> Result<Kind, Failure> {
    if is_standard(output) {
        return Ok(asked.unwrap_or(kinds[0].1));
    }
    let extension = output.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    match kinds.iter().find(|(name, _)| *name == extension) {
        Some((_, kind)) if asked.is_none_or(|asked| asked == *kind) => Ok(*kind),
        Some((name, _)) => Err(Failure::Usage(format!(
            "--format: {} would be another kind of file than its name says: accepted is {name}, or another -o",
            output.display()
        ))),
        None => Err(Failure::Usage(format!(
            "{}: accepted are names ending in {}",
            output.display(),
            listed(kinds)
        ))),
    }
}

/// `.svg, .png or .csv`.
fn listed<Kind>(kinds: &[(&str, Kind)]) -> String {
    let names: Vec<String> = kinds.iter().map(|(name, _)| format!(".{name}")).collect();
    match names.as_slice() {
        [most @ .., last] if !most.is_empty() => format!("{} or {last}", most.join(", ")),
        _ => names.concat(),
    }
}
