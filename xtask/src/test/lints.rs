//! Lints and documentation. All of it, and the tests' build too, asks cargo for the whole workspace with one set of features: another set would build
//! what depends on them once more.

use anyhow::Result;

use crate::shell;

/// The workspace with everything in it.
pub const WHOLE: [&str; 4] = ["--workspace", "--features", "firstjack/sound", "--locked"];

/// The program's own targets, of which the features decide something.
const PROGRAM: [&str; 7] =
    ["--workspace", "--locked", "--bin", "firstjack", "--test", "program", "--test=memory"];

/// While the system still lacks something: whatever can be looked at without it. What is wrong with it is told by the next run.
pub fn begin() {
    let mut command = shell::cargo();
    command.args(["clippy", "--all-targets", "--keep-going", "--quiet"]).args(WHOLE);
    let _ = command.stderr(std::process::Stdio::null()).status();
}

/// Clippy, warnings denied.
pub fn clippy() -> Result<()> {
    let denied = ["--", "-D", "warnings"];
    shell::run(shell::cargo().args(["clippy", "--all-targets"]).args(WHOLE).args(denied))?;
    // The plugin keeps its features of above, so that only the program is looked at once more.
    for features in ["firstjack/window,firstjack-plugin/standalone", ""] {
        shell::run(shell::cargo().arg("clippy").args(PROGRAM).args(["--features", features]).args(denied))?;
    }
    Ok(())
}

/// Documentation, warnings denied.
pub fn docs() -> Result<()> {
    // With an example, what examples and tests ask of dependencies counts too, as it does for clippy, which has looked at these already.
    let targets = ["--lib", "--bins", "--example", "cost"];
    shell::run(
        shell::cargo()
            .args(["doc", "--no-deps"])
            .args(WHOLE)
            .args(targets)
            .env("RUSTDOCFLAGS", "-D warnings"),
    )
}
