//! What is remembered from one window to the next, of whatever instance: no part of a project or a preset.
//!
//! Kept is what a person chose: the zoom, and the window's size in points *at that zoom*, so that its pixels are points times zoom times
//! the screen's scale. A window that its host makes too small for that is drawn smaller, and changes nothing that is kept.

use std::path::{Path, PathBuf};
use std::{fs, io};

use etcetera::BaseStrategy;
use firstjack_kit::Claim;
use serde::{Deserialize, Serialize};

/// The smallest window in points at the zoom.
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
    /// Width of the window in points at the zoom.
    pub width: f32,
    /// Height of the window in points at the zoom.
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

/// What a person has changed, field by field.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Changes {
    #[serde(skip_serializing_if = "Option::is_none")]
    width: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    height: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    zoom: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    theme: Option<Theme>,
}

impl Changes {
    /// Of what differs.
    pub fn between(before: &Settings, after: &Settings) -> Self {
        Self {
            width: (before.width != after.width).then_some(after.width),
            height: (before.height != after.height).then_some(after.height),
            zoom: (before.zoom != after.zoom).then_some(after.zoom),
            theme: (before.theme != after.theme).then_some(after.theme),
        }
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Both; a later one of the same field counts.
    pub fn then(self, later: Self) -> Self {
        Self {
            width: later.width.or(self.width),
            height: later.height.or(self.height),
            zoom: later.zoom.or(self.zoom),
            theme: later.theme.or(self.theme),
        }
    }

    /// Those that have not been kept, of which these have.
    pub fn without(self, kept: Self) -> Self {
        Self {
            width: self.width.filter(|_| self.width != kept.width),
            height: self.height.filter(|_| self.height != kept.height),
            zoom: self.zoom.filter(|_| self.zoom != kept.zoom),
            theme: self.theme.filter(|_| self.theme != kept.theme),
        }
    }

    /// What settings become by them.
    pub fn of(self, settings: Settings) -> Settings {
        Settings {
            width: self.width.unwrap_or(settings.width),
            height: self.height.unwrap_or(settings.height),
            zoom: self.zoom.unwrap_or(settings.zoom),
            theme: self.theme.unwrap_or(settings.theme),
        }
    }

    /// Makes them in a file, and nothing else: what others have changed there meanwhile, or a later version knows, stays. A file that is
    /// none is replaced.
    ///
    /// # Errors
    /// If it cannot be written; then the old one is still there.
    pub fn save(&self, path: &Path) -> io::Result<()> {
        let claim = Claim::on(path)?;
        let there = fs::read_to_string(path).unwrap_or_default();
        let mut table: toml::Table = there.parse().unwrap_or_default();
        table.extend(toml::Table::try_from(self).map_err(io::Error::other)?);
        claim.replace(table.to_string().as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(settings: &Settings) -> Changes {
        let Settings { width, height, zoom, theme } = *settings;
        Changes { width: Some(width), height: Some(height), zoom: Some(zoom), theme: Some(theme) }
    }

    #[test]
    fn what_is_kept_comes_back() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("not there yet").join("editor.toml");
        assert_eq!(Settings::load(&path), Settings::default());
        let settings = Settings { width: 1_200.0, height: 801.5, zoom: 1.25, theme: Theme::Dark };
        for _ in 0..2 {
            all(&settings).save(&path).unwrap();
            assert_eq!(Settings::load(&path), settings);
            assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1, "nothing beside it");
        }
    }

    #[test]
    fn only_what_was_changed_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("editor.toml");
        fs::write(&path, "later = true\nwidth = 1000.0\n").unwrap();
        let before = Settings::load(&path);
        let zoomed = Settings { zoom: 2.0, ..before };
        let dark = Settings { theme: Theme::Dark, ..before };
        for after in [zoomed, dark] {
            Changes::between(&before, &after).save(&path).unwrap();
        }
        assert_eq!(Settings::load(&path), Settings { zoom: 2.0, theme: Theme::Dark, ..before });
        assert!(fs::read_to_string(&path).unwrap().contains("later = true"));
    }

    /// Whatever stands there, a window opens that can be used, and what is chosen in it is kept.
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
        Changes { zoom: Some(2.0), ..Changes::default() }.save(&path).unwrap();
        assert_eq!(Settings::load(&path), Settings { zoom: 2.0, ..Settings::default() });
        fs::write(&path, "width = 1e30\nheight = -5.0\nzoom = nan\nlater = true").unwrap();
        let expected = Settings { width: LARGEST, height: SMALLEST.1, ..Settings::default() };
        assert_eq!(Settings::load(&path), expected);
    }

    #[test]
    fn a_folder_that_cannot_be_made_is_an_error() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("file"), "").unwrap();
        assert!(all(&Settings::default()).save(&folder.path().join("file").join("editor.toml")).is_err());
    }
}
