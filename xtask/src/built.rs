//! The program and the plugin, as something has built them.

use std::path::PathBuf;
use std::process::Command;

use crate::{bundle, paths, shell};

/// Where both are.
pub struct Built {
    program: PathBuf,
    bundles: PathBuf,
}

impl Built {
    /// As `cargo xtask bundle` makes them, for release.
    pub fn for_release() -> Self {
        Self { program: paths::program(), bundles: bundle::folder() }
    }

    /// As the tests' build makes them and `test::build` puts them aside.
    pub fn for_tests() -> Self {
        let folder = paths::target().join("judged");
        Self { program: folder.join(paths::executable("firstjack")), bundles: folder.join("bundled") }
    }

    /// The program's file.
    pub fn path(&self) -> &PathBuf {
        &self.program
    }

    /// Starts the program in the workspace's folder.
    pub fn program(&self) -> Command {
        shell::command(&self.program)
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
