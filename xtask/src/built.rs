//! The program and the plugin, as something has built them.

use std::path::PathBuf;
use std::process::Command;

use crate::{bundle, paths, shell, windows};

/// Where both are.
pub struct Built {
    program: PathBuf,
    bundles: PathBuf,
    by_wine: bool,
}

impl Built {
    /// As `cargo xtask bundle` makes them, for release.
    pub fn for_release() -> Self {
        Self { program: paths::program(), bundles: bundle::folder(), by_wine: false }
    }

    /// As the tests' build makes them and `test::build` puts them aside.
    pub fn for_tests() -> Self {
        let folder = paths::target().join("judged");
        let program = folder.join(paths::executable("firstjack"));
        Self { program, bundles: folder.join("bundled"), by_wine: false }
    }

    /// As `cargo xtask windows` lays it out in a folder: its program is run by wine.
    pub fn for_windows(folder: PathBuf) -> Self {
        Self { program: folder.join("firstjack.exe"), bundles: folder, by_wine: true }
    }

    /// The program's file.
    pub fn path(&self) -> &PathBuf {
        &self.program
    }

    /// Starts the program in the workspace's folder.
    pub fn program(&self) -> Command {
        if self.by_wine { windows::wine(&self.program) } else { shell::command(&self.program) }
    }

    /// The CLAP bundle.
    pub fn clap(&self) -> PathBuf {
        self.bundles.join("Firstjack.clap")
    }

    /// The VST3 bundle.
    pub fn vst3(&self) -> PathBuf {
        self.bundles.join("Firstjack.vst3")
    }
}
