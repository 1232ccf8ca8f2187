//! What is released, as it is released.

use anyhow::Result;

use crate::shell;

/// Builds the program with a feature, and the plugin: in one run of cargo, so that what both depend on is built once, with one set of
/// features. For another system where one is given.
pub fn build(feature: &str, target: Option<&str>) -> Result<()> {
    let packages = ["--package", "firstjack", "--package", "firstjack-plugin", "--features", feature];
    let target = target.map(|target| format!("--target={target}"));
    shell::run(shell::cargo().args(["build", "--release"]).args(packages).args(target))
}
