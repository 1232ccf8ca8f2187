//! What is remembered from one window to the next, of whatever instance: no part of a project or a preset.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::{fs, io};

use etcetera::BaseStrategy;
use serde::{Deserialize, Serialize};

/// The smallest window in logical points.
pub const SMALLEST: (f32, f32) = (720.0, 480.0);
/// The largest that is remembered.
const LARGEST: f32 = 10_000.0;
/// How much everything can be enlarged.
pub const ZOOM: (f32, f32) = (0.5, 3.0);

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Theme {
    /// As the system has it.
    #[default]
    System,
    /// Dark text on light.
    Light,
    /// Light text on dark.
    Dark,
}

/// Size, zoom and theme.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Width of the window in logical points.
    pub width: f32,
    /// Height of the window in logical points.
    pub height: f32,
    /// Everything is enlarged by this factor.
    pub zoom: f32,
    /// Light or dark.
    pub theme: Theme,
}

impl Default for Settings {
    fn default() -> Self {
        Self { width: 960.0, height: 640.0, zoom: 1.0, theme: Theme::System }
    }
}

impl Settings {
    /// Where they are kept, if this system has such a place.
    pub fn path() -> Option<PathBuf> {
        let folder = etcetera::choose_base_strategy().ok()?.config_dir();
        Some(folder.join("firstjack").join("editor.toml"))
    }

    /// What is kept in a file; the defaults if there is none, or one that cannot be read.
    pub fn load(path: &Path) -> Self {
        let text = fs::read_to_string(path).unwrap_or_default();
        toml::from_str::<Self>(&text).unwrap_or_default().within_reason()
    }

    /// Keeps them in a file, which is replaced as a whole.
    ///
    /// # Errors
    /// If it cannot be written; then the old one is still there.
    pub fn save(&self, path: &Path) -> io::Result<()> {
        let folder = path.parent().unwrap_or(Path::new("."));
        fs::create_dir_all(folder)?;
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        file.write_all(toml::to_string(self).map_err(io::Error::other)?.as_bytes())?;
        file.persist(path)?;
        Ok(())
    }

    fn within_reason(self) -> Self {
        let within = |value: f32, low: f32, high: f32, default: f32| {
            if value.is_finite() { value.clamp(low, high) } else { default }
        };
        let default = Self::default();
        Self {
            width: within(self.width, SMALLEST.0, LARGEST, default.width),
            height: within(self.height, SMALLEST.1, LARGEST, default.height),
            zoom: within(self.zoom, ZOOM.0, ZOOM.1, default.zoom),
            theme: self.theme,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_comes_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("not there yet").join("editor.toml");
        assert_eq!(Settings::load(&path), Settings::default());
        let settings = Settings { width: 1_200.0, height: 801.5, zoom: 1.25, theme: Theme::Dark };
        settings.save(&path).unwrap();
        assert_eq!(Settings::load(&path), settings);
        settings.save(&path).unwrap();
        assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }

    /// Whatever stands there, a window opens that can be used.
    #[test]
    fn a_broken_file_is_ignored() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("editor.toml");
        for text in ["", "width = ", "width = 'wide'", "theme = \"purple\"", "\u{0}\u{1}"] {
            fs::write(&path, text).unwrap();
            assert_eq!(Settings::load(&path), Settings::default(), "{text}");
        }
        fs::write(&path, [0xff, 0xfe, 0x00]).unwrap();
        assert_eq!(Settings::load(&path), Settings::default());
        fs::write(&path, "width = 1e30\nheight = -5.0\nzoom = nan\nlater = true").unwrap();
        let expected = Settings { width: LARGEST, height: SMALLEST.1, ..Settings::default() };
        assert_eq!(Settings::load(&path), expected);
        fs::write(&path, "zoom = 2.0").unwrap();
        assert_eq!(Settings::load(&path), Settings { zoom: 2.0, ..Settings::default() });
    }

    #[test]
    fn a_folder_that_cannot_be_made_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("file"), "").unwrap();
        assert!(Settings::default().save(&folder.path().join("file").join("editor.toml")).is_err());
    }
}
