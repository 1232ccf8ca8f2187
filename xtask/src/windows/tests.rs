//! The tests of core, program and plugin, built for Windows and run by wine.

use std::process::Command;

use anyhow::Result;

use super::cargo;
use crate::display::Display;
use crate::shell;

/// Whose tests are run: those of core, program and plugin, and of what reads and writes files.
const PACKAGES: [&str; 5] = ["dsp-core", "firstjack", "firstjack-kit", "firstjack-plugin", "firstjack-sound"];

/// Which of it is compiled as for tests elsewhere: what computes much. All else takes a third of the time to compile without.
const OPTIMISED: [&str; 4] = ["dsp-core", "firstjack-fourier", "firstjack-measure", "firstjack-sound"];

/// What computes for a minute by wine and asks nothing of a system: left out where time is short.
const LONG: [&str; 4] = [
    "rides::every_pair_of_all_presets",
    "loudness::meter::tests::equals_the_ebur128_crate",
    "needed::half_the_power_is_left_at_the_corner",
    "note::tests::everything_stands_within_the_margins",
];

/// How long searches are there, of how long they are here: what they look for is no system's.
const SEARCHED: &str = "0.25";

/// Runs them, all or those that are not long, in one run of cargo, and builds the program and the plugin, which tests do not leave behind, as they are
/// released: with window and sound.
pub fn run(all: bool) -> Result<()> {
    let mut tests = with_cargo("test");
    tests.args(["--no-fail-fast", "--lib", "--bins", "--tests"]).env("LIBGL_ALWAYS_SOFTWARE", "1");
    // What is not optimised needs more of the stack.
    tests.env("RUST_MIN_STACK", "16777216");
    // Wine opens windows there.
    let display = Display::new()?;
    tests.envs(display.name.iter().map(|name| ("DISPLAY", name)));
    if !all {
        tests.env("FIRSTJACK_LONGER", SEARCHED);
        println!(
            "left out by wine, since they compute for long and ask nothing of a system: {}",
            LONG.join(", ")
        );
        tests.arg("--").args(LONG.iter().flat_map(|name| ["--skip", name]));
    }
    shell::run(&mut tests)?;
    shell::run(&mut with_cargo("build"))
}

fn with_cargo(subcommand: &str) -> Command {
    let packages = PACKAGES.into_iter().flat_map(|name| ["--package", name]);
    let mut cargo = cargo();
    cargo.args([subcommand, "--locked", "--features", "firstjack/sound"]).args(packages);
    for name in OPTIMISED {
        cargo.args(["--config", &format!("profile.dev.package.{name}.opt-level=1")]);
    }
    // Nobody looks at lines of code here, and linking takes a while with them.
    cargo.env("CARGO_PROFILE_DEV_DEBUG", "false").env("CARGO_PROFILE_DEV_OPT_LEVEL", "0");
    cargo
}
