//! Presets from files and to files. The dialog is drawn in the window: it is the same in every host and waits for nobody.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use egui::{Button, Context, Id, Modal, pos2};
use egui_file::{DialogType, FileDialog};
use etcetera::BaseStrategy;
use firstjack_kit::named;

use super::preset_text;
use crate::editor::{Message, Model};

const REPLACE: &str = "replace it";
const KEEP: &str = "keep it";

/// What preset files are called.
const EXTENSION: &str = "toml";
/// A preset is a few kilobytes: this much is something else, and would take long to read.
const MOST_BYTES: usize = 1 << 20;

/// The dialog, and what it asks.
#[derive(Debug, Default)]
pub(crate) struct PresetFiles {
    dialog: Option<FileDialog>,
    /// Where the last file was.
    folder: Option<PathBuf>,
    /// A file that is there already, and is only replaced if that is said.
    taken: Option<PathBuf>,
}

impl PresetFiles {
    /// Asks which file to open.
    pub fn ask_to_open(&mut self) {
        self.open(FileDialog::open_file().title("Open a preset"));
    }

    /// Asks where to save.
    pub fn ask_to_save(&mut self, model: &Model) {
        let name = file_name(&model.document.preset.name);
        self.open(FileDialog::save_file().title("Save the preset").default_filename(name));
    }

    /// Writes over the file that was opened.
    pub fn save_again(&mut self, path: &Path, model: &Model, out: &mut Vec<Message>) {
        self.save(path, model, true, out);
    }

    /// Files are asked for here first.
    pub fn begin_at(&mut self, folder: Option<&Path>) {
        let is_there = |folder: &&Path| folder.is_dir();
        self.folder = self.folder.take().or_else(|| folder.filter(is_there).map(Path::to_owned));
    }

    fn open(&mut self, dialog: FileDialog) {
        let home = || etcetera::choose_base_strategy().ok().map(|strategy| strategy.home_dir().to_owned());
        let folder = self.folder.clone().or_else(home).unwrap_or_default();
        let mut dialog = dialog
            .id(Id::unique("preset file"))
            .initial_path(folder)
            .default_pos(pos2(40.0, 40.0))
            .default_size([420.0, 330.0])
            .show_files_filter(Box::new(is_preset))
            .show_rename(false)
            .show_new_folder(false);
        dialog.open();
        self.dialog = Some(dialog);
    }

    /// The dialog, while there is one.
    pub fn show(&mut self, ctx: &Context, model: &Model, out: &mut Vec<Message>) {
        if let Some(path) = self.taken.clone() {
            self.ask(ctx, &path, model, out);
        }
        let Some(dialog) = &mut self.dialog else { return };
        dialog.show(ctx);
        if dialog.visible() {
            return;
        }
        let chosen = dialog.path().filter(|_| dialog.selected()).map(Path::to_owned);
        let kind = dialog.dialog_type();
        self.folder = Some(dialog.directory().to_owned());
        self.dialog = None;
        match chosen {
            Some(path) if kind == DialogType::OpenFile => out.push(loaded(&path)),
            Some(path) => self.save(&with_extension(path), model, false, out),
            None => {}
        }
    }

    fn ask(&mut self, ctx: &Context, path: &Path, model: &Model, out: &mut Vec<Message>) {
        let shown = Modal::new(Id::unique("preset file is there")).show(ctx, |ui| {
            ui.set_max_width(360.0);
            ui.label(format!("{} is there already.", path.display()));
            ui.horizontal(|ui| (ui.add(Button::new(REPLACE)).clicked(), ui.button(KEEP).clicked())).inner
        });
        let (replace, keep) = shown.inner;
        if replace || keep || shown.should_close() {
            self.taken = None;
        }
        if replace {
            self.save(path, model, true, out);
        }
    }

    fn save(&mut self, path: &Path, model: &Model, replace: bool, out: &mut Vec<Message>) {
        match write(path, &preset_text(&model.document), replace) {
            Ok(()) => {
                out.push(Message::Saved(path.to_owned()));
                out.push(Message::Notice(format!("saved as {}", path.display())));
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => self.taken = Some(path.to_owned()),
            Err(error) => {
                let problem = format!("{}: cannot save the preset: {error}", path.display());
                out.push(Message::Notice(problem));
            }
        }
    }
}

/// What a file that was chosen or dropped says; or what is wrong with it.
pub(crate) fn read(path: &Path, bytes: Result<Vec<u8>, String>) -> Message {
    let text = bytes.and_then(|bytes| {
        if bytes.len() > MOST_BYTES {
            return Err(format!("more than {MOST_BYTES} bytes, which no preset has"));
        }
        String::from_utf8(bytes).map_err(|_| "not text in UTF-8; accepted is a preset in TOML".to_owned())
    });
    match text {
        Ok(text) => Message::Load(text),
        Err(problem) => Message::Notice(format!("{}: {problem}", path.display())),
    }
}

/// What the file of a preset asks for.
pub(crate) fn loaded(path: &Path) -> Message {
    let bytes = || {
        let mut bytes = Vec::new();
        let most = u64::try_from(MOST_BYTES).unwrap_or(u64::MAX).saturating_add(1);
        io::Read::read_to_end(&mut io::Read::take(named::open(path)?, most), &mut bytes)?;
        Ok(bytes)
    };
    match read(path, bytes().map_err(|error: io::Error| format!("cannot read it: {error}"))) {
        Message::Load(text) => Message::Open(path.to_owned(), text),
        other => other,
    }
}

/// By what it is called.
pub(crate) fn is_preset(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(EXTENSION))
}

/// A name for the file of a preset, which any file system takes.
fn file_name(preset: &str) -> String {
    let plain = |letter: char| if letter.is_alphanumeric() { letter } else { '-' };
    let name: String = preset.trim().to_lowercase().chars().map(plain).collect();
    let name = name.trim_matches('-');
    format!("{}.{EXTENSION}", if name.is_empty() { "preset" } else { name })
}

fn with_extension(path: PathBuf) -> PathBuf {
    if is_preset(&path) {
        return path;
    }
    let mut name = path.into_os_string();
    name.push(".");
    name.push(EXTENSION);
    name.into()
}

/// The file appears under its name only when it is complete.
fn write(path: &Path, text: &str, replace: bool) -> io::Result<()> {
    named::refuse_folder(path)?;
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".firstjack-").suffix(".part");
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.flush()?;
    let named = if replace { file.persist(path) } else { file.persist_noclobber(path) };
    named.map(drop).map_err(|error| error.error)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_only_if_that_is_said() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("courtyard.toml");
        write(&path, "one", false).unwrap();
        assert_eq!(write(&path, "two", false).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "one");
        write(&path, "two", true).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "two");
        assert!(write(&folder.path().join("not there").join("a.toml"), "", true).is_err());
        // Nothing else is left.
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn files_get_names_that_any_system_takes() {
        for (preset, name) in [
            ("Courtyard", "courtyard.toml"),
            ("Passive box, 2 of 3: ../a\\b", "passive-box--2-of-3-----a-b.toml"),
            ("  ", "preset.toml"),
            ("Guitarrón", "guitarrón.toml"),
        ] {
            assert_eq!(file_name(preset), name);
        }
        for (path, with) in [("a", "a.toml"), ("a.toml", "a.toml"), ("a.TOML", "a.TOML"), ("a.b", "a.b.toml")]
        {
            assert_eq!(with_extension(path.into()), Path::new(with));
        }
    }

    #[test]
    fn what_is_no_preset_is_refused_by_its_size_or_its_bytes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        let said = |bytes: &[u8]| {
            std::fs::write(&path, bytes).unwrap();
            match loaded(&path) {
                Message::Open(_, text) => text,
                Message::Notice(text) => text,
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(said(b"version = 2"), "version = 2");
        assert!(said(&[0xFF]).contains("a.toml: not text in UTF-8"));
        assert!(said(&vec![b' '; MOST_BYTES + 1]).contains("bytes"));
        std::fs::remove_file(&path).unwrap();
        let refused = |said: &str| matches!(loaded(&path), Message::Notice(text) if text.contains(said));
        assert!(refused("cannot read it"));
        std::fs::create_dir(&path).unwrap();
        assert!(refused("cannot read it: it is a folder"));
        let error = write(&path, "one", true).unwrap_err();
        assert_eq!((error.to_string().as_str(), path.is_dir()), ("it is a folder", true));
    }
}
