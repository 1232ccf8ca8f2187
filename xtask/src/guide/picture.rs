use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::paths;

/// A picture under the workspace's folder as an address that has all of it in it.
///
/// # Errors
/// If it is not there, or of another kind than PNG and SVG.
pub fn inlined(path: &Path) -> Result<String> {
    let kind = match path.extension().and_then(|ending| ending.to_str()) {
        Some("png") => "image/png",
        Some("svg") => "image/svg+xml",
        _ => bail!("{}: accepted are pictures in .png and .svg", path.display()),
    };
    let bytes = fs::read(paths::root().join(path))
        .with_context(|| format!("there is no picture {}", path.display()))?;
    Ok(format!("data:{kind};base64,{}", STANDARD.encode(bytes)))
}
