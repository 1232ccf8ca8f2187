//! What is released, as it is released.

use anyhow::Result;

use crate::shell;

/// Builds the program with its window and the plugin: in one run of cargo, so that what both depend on is built once, with one set of
/// features.
pub fn build() -> Result<()> {
    with("firstjack/window")
}

/// The same with what sound needs of the system.
pub fn build_with_sound() -> Result<()> {
    with("firstjack/sound")
}

fn with(feature: &str) -> Result<()> {
    let packages = ["--package", "firstjack", "--package", "firstjack-plugin"];
    shell::run(shell::cargo().args(["build", "--release"]).args(packages).args(["--features", feature]))
}
