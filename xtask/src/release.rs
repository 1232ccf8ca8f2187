//! What is released, as it is released.

use anyhow::Result;

use crate::shell;

/// Builds the program with its window and the plugin: in one run of cargo, so that what both depend on is built once, with one set of
/// features. For another system where one is given.
pub fn build(target: Option<&str>) -> Result<()> {
    let packages = ["--package", "firstjack", "--package", "firstjack-plugin"];
    let target = target.map(|target| format!("--target={target}"));
    let build = ["build", "--release", "--features", "firstjack/window"];
    shell::run(shell::cargo().args(build).args(packages).args(target))
}
