//! The sheet for re-amping through the setup that is heard, beside the take.

use std::path::{Path, PathBuf};

use dsp_core::units::Pitch;
use firstjack_plugin::editor::Document;
use firstjack_words::Words;

use crate::arguments::{NoteKindArgument, StringsArguments, WriteArguments};
use crate::error::Failure;
use crate::output::{self, Expected, Outputs, numbered};
use crate::reamp::{Kind, Peaks, Sheet, Situation, Told, bytes};
use crate::render::Recorded;
use crate::source::{Source, Strings};

/// Writes it as a PDF under a name that is free, and says where.
///
/// # Errors
/// If nothing is heard that has an amplifier in it, or the system cannot write there.
pub fn write(take: &Path, document: &Document) -> Result<PathBuf, Failure> {
    let source = Source::from_preset(document.preset.clone());
    let heard = document.heard.unwrap_or(usize::MAX);
    let Some(setup) = source.setups.get(heard).filter(|setup| !setup.chain.is_empty()) else {
        return Err(Failure::Usage("no sheet: choose a setup that has something plugged in".to_owned()));
    };
    let strings = StringsArguments { instrument: None, strings: None, a4: Pitch::CONCERT_HZ };
    let strings = Strings::new(&strings, source.instrument.as_deref())?;
    let ceiling = document.ceiling.db().map_or_else(|| "off".to_owned(), |db| db.to_string());
    let recorded = Recorded::new(&source, None, strings, &ceiling, None)?;
    let situation = Situation::usual(&recorded, setup, source.title.as_deref());
    let told = Told::new(&situation, situation.ways(), Peaks::default());
    let sheet = Sheet::new(&told, Kind::File, None, &Words::ENGLISH);
    let stem = take.file_stem().unwrap_or_default().to_string_lossy();
    let name = |again: u32| {
        let again = if again > 1 { format!(" {again}") } else { String::new() };
        let name = format!("{} re-amp{again}", setup.name.given());
        take.with_file_name(numbered(&stem, heard + 1, source.setups.len() + 1, &name, "pdf"))
    };
    let target = (1..).map(name).find(|name| name.symlink_metadata().is_err()).unwrap_or_else(|| name(1));
    let mut outputs = Outputs::new(&WriteArguments { overwrite: false, dry_run: false, verbose: false }, []);
    outputs.add("-o", &target, Expected::default())?;
    outputs.prepare(false)?;
    output::write(&outputs, &target, &bytes(&sheet, NoteKindArgument::Pdf, &target)?)?;
    Ok(target)
}

#[cfg(test)]
mod tests {
    use dsp_core::preset::Preset;

    use super::*;

    #[test]
    fn it_lies_beside_the_take_and_replaces_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let take = folder.path().join("take.wav");
        let preset = Preset::from_toml(include_str!("../../../presets/courtyard.toml")).unwrap();
        let mut document = super::super::document_of(preset);
        document.heard = Some(1);
        let first = write(&take, &document).unwrap();
        assert_eq!(first, folder.path().join("take-2-combo-re-amp.pdf"));
        let bytes = std::fs::read(&first).unwrap();
        assert!(bytes.starts_with(b"%PDF"));
        let second = write(&take, &document).unwrap();
        assert_eq!(second, folder.path().join("take-2-combo-re-amp-2.pdf"));
        assert_eq!(std::fs::read(&first).unwrap(), bytes);
        document.heard = None;
        assert!(write(&take, &document).is_err());
    }
}
