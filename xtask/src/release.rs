//! What is released, as it is released.

use anyhow::Result;

use crate::shell;

/// Builds the program with its window and the plugin: in one run of cargo, so that what both depend on is built once, with one set of
/// features.
pub fn build() -> Result<()> {
    let packages = ["--package", "firstjack", "--package", "firstjack-plugin"];
    shell::run(
        shell::cargo().args(["build", "--release"]).args(packages).args(["--features", "firstjack/sound"]),
    )
}
