//! Every dependency is under a permissive licence.

use anyhow::{Context, Result, bail};
use cargo_metadata::{CargoOpt, MetadataCommand};
use spdx::{Expression, LicenseReq};

use crate::paths;

/// By their identifiers of SPDX; `about.toml` has the same.
pub const PERMISSIVE: [&str; 15] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "ISC",
    "BSD-1-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "0BSD",
    "Zlib",
    "Unlicense",
    "CC0-1.0",
    "Unicode-3.0",
    "BSL-1.0",
    "OFL-1.1",
    "Ubuntu-font-1.0",
];

/// Fails with the names of those that are not.
pub fn check() -> Result<()> {
    // Also of what only some builds have.
    let metadata = MetadataCommand::new()
        .manifest_path(paths::root().join("Cargo.toml"))
        .features(CargoOpt::AllFeatures)
        .exec()?;
    let mut refused = Vec::new();
    for package in &metadata.packages {
        let text = package.license.as_deref().unwrap_or_default().replace('/', " OR ");
        let allowed = |requirement: &LicenseReq| {
            requirement.license.id().is_some_and(|id| PERMISSIVE.contains(&id.name))
        };
        let expression = Expression::parse(&text).with_context(|| format!("{}: '{text}'", package.name));
        if !expression.is_ok_and(|expression| expression.evaluate(allowed)) {
            refused.push(format!("{} ({text})", package.name));
        }
    }
    if !refused.is_empty() {
        bail!("not under a permissive licence: {}", refused.join(", "));
    }
    println!("licences: {} packages, all permissive", metadata.packages.len());
    Ok(())
}
