//! What a test needs of the system. One that cannot run fails: a test that is green has tested.

use std::io::{Write as _, stderr};
use std::process::{Command, Stdio};

/// Whether this test is to use a program. Not where `FIRSTJACK_WITHOUT` names it (`FIRSTJACK_WITHOUT=Xvfb,sox`), which is told;
/// `cargo xtask test` takes that variable away.
///
/// # Panics
/// Where the program is missing and nobody said so, with the command that installs it on Debian and its kin.
#[track_caller]
pub fn has(program: &str) -> bool {
    let without = std::env::var("FIRSTJACK_WITHOUT").unwrap_or_default();
    if without.split(',').any(|one| one == program) {
        // Past the test harness, which shows what passing tests print to nobody.
        let said = format!("SKIPPED: a test without {program}, as FIRSTJACK_WITHOUT says\n");
        stderr().write_all(said.as_bytes()).unwrap();
        return false;
    }
    let mut command = Command::new(program);
    let started = command.arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    assert!(
        started.is_ok(),
        "{program} is not installed: sudo apt-get install {}; or FIRSTJACK_WITHOUT={program} leaves out what needs it",
        packages(program)
    );
    true
}

/// What has it.
fn packages(program: &str) -> &str {
    match program {
        "Xvfb" => "xvfb libgl1 libgl1-mesa-dri libxcursor1 libx11-xcb1 libxkbcommon-x11-0",
        "ffprobe" => "ffmpeg",
        "metaflac" => "flac",
        other => other,
    }
}
