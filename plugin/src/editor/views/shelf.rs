//! Presets that are at hand: those that ship, those in a person's folder, and those that were used last.

use std::io;
use std::path::{Path, PathBuf};

use firstjack_kit::{Claim, KitFile};
use serde::{Deserialize, Serialize};

use super::files::is_preset;

/// Those that ship, each as the text of its file.
pub(super) const SHIPPED: [&str; 6] = [
    include_str!("../../../../presets/courtyard.toml"),
    include_str!("../../../../presets/passive.toml"),
    include_str!("../../../../presets/blocking.toml"),
    include_str!("../../../../presets/blend.toml"),
    include_str!("../../../../presets/magnetic-single.toml"),
    include_str!("../../../../presets/magnetic-double.toml"),
];

/// The person's folder, beside their kit.
const FOLDER: &str = "presets";
/// The list of files that were used last, beside it.
const RECENT: &str = "recent.toml";
/// So many of the person's are offered, and so many of those that were used last.
const MOST: usize = 100;
const MOST_RECENT: usize = 6;
/// More than this is no such list.
const MOST_BYTES: u64 = 1 << 16;

/// Where a person's presets are.
#[derive(Debug, Clone)]
pub(super) struct Shelf {
    folder: PathBuf,
    recent: PathBuf,
}

/// What is there, the newest of the recent ones first.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Listed {
    pub own: Vec<PathBuf>,
    pub recent: Vec<PathBuf>,
}

/// As it is written.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct Recent {
    files: Vec<PathBuf>,
}

impl Shelf {
    pub fn beside(kit: &KitFile) -> Self {
        let beside = |name: &str| kit.path().with_file_name(name);
        Self { folder: beside(FOLDER), recent: beside(RECENT) }
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Looks. A folder or a list that is not there is empty, as is one that cannot be read.
    pub fn list(&self) -> Listed {
        let entries = std::fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let mut own: Vec<PathBuf> =
            entries.map(|entry| entry.path()).filter(|path| is_preset(path)).collect();
        own.sort();
        own.truncate(MOST);
        let mut recent = self.recent();
        recent.retain(|path| !own.contains(path));
        Listed { own, recent }
    }

    /// Notes that a file has been used.
    ///
    /// # Errors
    /// If that cannot be written.
    pub fn note(&self, path: &Path) -> io::Result<()> {
        let claim = Claim::on(&self.recent)?;
        let others = self.recent().into_iter().filter(|other| other != path);
        let files = [path.to_owned()].into_iter().chain(others).take(MOST_RECENT).collect();
        let text = toml::to_string(&Recent { files }).map_err(io::Error::other)?;
        claim.replace(text.as_bytes())
    }

    fn recent(&self) -> Vec<PathBuf> {
        let is_small = std::fs::metadata(&self.recent).is_ok_and(|file| file.len() <= MOST_BYTES);
        let text = is_small.then(|| std::fs::read_to_string(&self.recent).ok()).flatten();
        let Recent { files } = toml::from_str(&text.unwrap_or_default()).unwrap_or_default();
        files
    }
}

/// What a preset in a file is called before it is read.
pub(super) fn name(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use dsp_core::preset::Preset;

    use super::*;

    #[test]
    fn what_ships_can_be_held() {
        for text in SHIPPED {
            let preset = Preset::from_toml(text).unwrap();
            assert!(preset.setups.len() <= crate::SETUPS, "{}", preset.name);
            assert!(crate::host::preset::read(text).is_ok(), "{}", preset.name);
        }
    }

    #[test]
    fn the_persons_folder_and_the_last_files_are_listed() {
        let folder = tempfile::tempdir().unwrap();
        let kit = KitFile::find(Some(&folder.path().join("kit.toml"))).unwrap();
        let shelf = Shelf::beside(&kit);
        assert_eq!(shelf.list(), Listed::default());
        let own = folder.path().join("presets");
        std::fs::create_dir(&own).unwrap();
        for name in ["b.toml", "a.toml", "take.wav"] {
            std::fs::write(own.join(name), "").unwrap();
        }
        let elsewhere = |index: usize| folder.path().join(format!("{index}.toml"));
        for index in (0..8).chain([5]) {
            shelf.note(&elsewhere(index)).unwrap();
        }
        shelf.note(&own.join("a.toml")).unwrap();
        let listed = shelf.list();
        assert_eq!(listed.own, ["a.toml", "b.toml"].map(|name| own.join(name)));
        assert_eq!(listed.recent, [5, 7, 6, 4, 3].map(elsewhere), "each once, the newest first");
        std::fs::write(folder.path().join("recent.toml"), "files = 3").unwrap();
        assert!(shelf.list().recent.is_empty());
    }
}
