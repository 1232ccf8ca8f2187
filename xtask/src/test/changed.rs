//! What has changed, so that its tests come first.

use std::path::PathBuf;

use anyhow::Result;
use cargo_metadata::{MetadataCommand, Package};

use crate::{paths, shell};

/// All packages of the workspace.
pub fn workspace() -> Result<Vec<Package>> {
    Ok(MetadataCommand::new().manifest_path(paths::root().join("Cargo.toml")).no_deps().exec()?.packages)
}

/// Those with files that are not as on `main`, or on `main` itself not as in the commit before. None where git does not say it.
pub fn packages() -> Result<Vec<Package>> {
    let git = |arguments: &[&str]| {
        let output = shell::command("git").args(arguments).output().ok()?;
        output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
    };
    let head = git(&["rev-parse", "HEAD"]);
    let base = git(&["merge-base", "HEAD", "main"]).filter(|base| Some(base) != head.as_ref());
    let base = base.unwrap_or_else(|| "HEAD~1".to_owned());
    let files = git(&["diff", "--name-only", &base]).unwrap_or_default();
    let files: Vec<PathBuf> = files.lines().map(|file| paths::root().join(file)).collect();
    let mut packages = workspace()?;
    packages.retain(|package| {
        let folder = package.manifest_path.parent().map(|folder| folder.as_std_path());
        folder.is_some_and(|folder| files.iter().any(|file| file.starts_with(folder)))
    });
    Ok(packages)
}
