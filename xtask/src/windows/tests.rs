//! The tests of core, program and plugin, built for Windows and run by wine.

use anyhow::Result;

use super::cargo;
use crate::display::Display;
use crate::shell;

/// Whose tests are run: all but those of this machine's own tools.
const PACKAGES: [&str; 8] = [
    "dsp-core",
    "firstjack",
    "firstjack-equaliser",
    "firstjack-kit",
    "firstjack-measure",
    "firstjack-plugin",
    "firstjack-sound",
    "firstjack-words",
];

/// Which of it is compiled as for tests elsewhere: what computes much. All else takes a third of the time to compile without.
const OPTIMISED: [&str; 4] = ["dsp-core", "firstjack-fourier", "firstjack-measure", "firstjack-sound"];

/// Builds and runs them in one run of cargo, with the program as it is released: with window and sound.
pub fn run() -> Result<()> {
    let packages = PACKAGES.into_iter().flat_map(|name| ["--package", name]);
    let mut tests = cargo();
    tests.args(["test", "--locked", "--no-fail-fast", "--lib", "--bins", "--tests"]).args(packages);
    tests.args(["--features", "firstjack/sound"]);
    for name in OPTIMISED {
        tests.args(["--config", &format!("profile.dev.package.{name}.opt-level=1")]);
    }
    // Nobody looks at lines of code here, and linking takes a while with them.
    tests.env("CARGO_PROFILE_DEV_DEBUG", "false").env("CARGO_PROFILE_DEV_OPT_LEVEL", "0");
    tests.env("LIBGL_ALWAYS_SOFTWARE", "1");
    // What is not optimised needs more of the stack.
    tests.env("RUST_MIN_STACK", "16777216");
    // Wine opens windows there.
    let display = Display::new()?;
    tests.envs(display.name.iter().map(|name| ("DISPLAY", name)));
    shell::run(&mut tests)
}
