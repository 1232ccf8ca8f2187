//! What cross-building and wine need of the system.

use std::process::Command;

use anyhow::{Context, Result, ensure};

use super::deadline::Deadline;
use crate::shell;

/// A linker for Windows, wine, and what its windows are drawn with.
const PACKAGES: [&str; 10] = [
    "gcc-mingw-w64-x86-64-win32",
    "wine64",
    "xvfb",
    "libgl1",
    "libgl1-mesa-dri",
    "libxcomposite1",
    "libxcursor1",
    "libxi6",
    "libxrandr2",
    "libxrender1",
];

/// Installs what is missing, and `also`, where that can be done without asking, or says how.
pub fn need(also: &str, deadline: Deadline) -> Result<()> {
    let missing: Vec<&str> = PACKAGES.into_iter().chain([also]).filter(|name| !is_installed(name)).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let is_root = shell::command("id").arg("-u").output().is_ok_and(|id| id.stdout == b"0\n");
    ensure!(is_root, "missing; install them, for example: sudo apt-get install {}", missing.join(" "));
    println!("installing {}", missing.join(" "));
    let apt = |how: &str| {
        let mut apt = shell::command("apt-get");
        apt.args(["install", "--yes", "--quiet=2", "--no-install-recommends", how]).args(&missing);
        apt.env("DEBIAN_FRONTEND", "noninteractive");
        apt
    };
    deadline.run(&mut apt("--download-only"))?;
    // What has begun to install is not ended half-way.
    shell::run(&mut apt("--no-download"))
}

/// The version of a package that the system's sources offer.
pub fn offered(package: &str) -> Result<String> {
    let policy = said(shell::command("apt-cache").args(["policy", package]))?;
    let candidate = policy.lines().find_map(|line| line.trim().strip_prefix("Candidate: "));
    let version = candidate.filter(|version| *version != "(none)");
    version.map(str::to_owned).with_context(|| format!("the system's sources have no package {package}"))
}

/// The package that `package` depends on and whose name begins with `start`.
pub fn dependency(package: &str, start: &str) -> Result<String> {
    let shown = said(shell::command("apt-cache").args(["show", "--no-all-versions", package]))?;
    let all = shown.lines().find_map(|line| line.strip_prefix("Depends: ")).unwrap_or_default();
    let mut names = all.split(", ").filter_map(|one| one.split_whitespace().next());
    let name = names.find(|name| name.starts_with(start));
    name.map(str::to_owned).with_context(|| format!("{package} depends on no {start}"))
}

fn is_installed(package: &str) -> bool {
    let status = shell::command("dpkg-query").args(["--show", "--showformat=${Status}", package]).output();
    status.is_ok_and(|status| status.stdout == b"install ok installed")
}

fn said(command: &mut Command) -> Result<String> {
    let shown = format!("{command:?}");
    let output = command.output().with_context(|| format!("cannot start {shown}"))?;
    ensure!(output.status.success(), "{shown} failed ({})", output.status);
    Ok(String::from_utf8(output.stdout)?)
}
