//! The commands that have a window or sound: what every build says of them, and what those with the features refuse.

use crate::support::Sandbox;

/// A folder with a take; the file of setups is the demo's.
fn sandbox() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.courtyard();
    #[cfg(feature = "window")]
    sandbox.write("take.wav", window::take().bytes());
    sandbox
}

#[test]
fn every_build_tells_what_the_windows_are_for() {
    let sandbox = sandbox();
    let open = sandbox.done(&["open", "--help"]);
    for said in ["WAV, FLAC or MP3", "feature window", "hurt", "space plays"] {
        assert!(open.contains(said), "no '{said}' in {open}");
    }
    assert!(!open.contains("screenshot"), "{open}");
    let live = sandbox.done(&["live", "--help"]);
    for said in ["feature sound", "hurt", "Mute before plugging", "--backend", "--buffer", "--input"] {
        assert!(live.contains(said), "no '{said}' in {live}");
    }
}

#[test]
fn arguments_are_checked() {
    let sandbox = sandbox();
    for (arguments, said) in [
        (&["open"][..], "<TAKE>"),
        (&["open", "take.wav", "--zoom", "9"], "accepted are 0.5 to 4"),
        (&["open", "take.wav", "--zoom", "nan"], "accepted are 0.5 to 4"),
        (&["live", "--backend", "wire"], "possible values: auto, jack"),
        (&["live", "--rate", "1"], "8000..=384000"),
        (&["live", "--buffer", "0"], "16..=8192"),
    ] {
        let outcome = sandbox.run(arguments);
        assert_eq!(outcome.code, Some(2), "{arguments:?}: {outcome:?}");
        assert!(outcome.stderr.contains(said), "{arguments:?}: no '{said}' in {}", outcome.stderr);
    }
}

#[cfg(not(feature = "window"))]
#[test]
fn a_build_without_a_window_says_how_to_get_one() {
    let outcome = sandbox().run(&["open", "take.wav"]);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stderr.contains("open is not in this build"), "{outcome:?}");
    assert!(outcome.stderr.contains("--features window"), "{outcome:?}");
}

#[cfg(not(feature = "sound"))]
#[test]
fn a_build_without_sound_says_how_to_get_it() {
    let outcome = sandbox().run(&["live"]);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stderr.contains("live is not in this build"), "{outcome:?}");
    assert!(outcome.stderr.contains("--features sound"), "{outcome:?}");
}

/// Nothing waits for a display that is not there.
#[cfg(all(feature = "window", target_os = "linux"))]
mod window {
    use super::*;
    use crate::support::wav::{Kind, Wav};
    use crate::support::{Outcome, sine};

    pub fn take() -> Wav {
        Wav::new(Kind::Int(2), 1, 48_000, &sine(48_000, 110.0, 0.2, 4_800))
    }

    fn without_display(arguments: &[&str], display: Option<&str>) -> Outcome {
        let sandbox = sandbox();
        let mut command = sandbox.command(arguments);
        command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
        display.into_iter().for_each(|display| {
            command.env("DISPLAY", display);
        });
        Outcome::of(command.output())
    }

    const OPEN: [&str; 4] = ["open", "take.wav", "--setups", "presets/courtyard.toml"];

    #[test]
    fn without_a_display_it_ends_at_once() {
        let live: &[&str] = &["live", "--backend", "dummy"];
        let commands = [&OPEN[..], live];
        for arguments in commands.into_iter().take(if cfg!(feature = "sound") { 2 } else { 1 }) {
            for (display, said) in [
                (None, "there is no display (DISPLAY is not set)"),
                (Some(""), "there is no display (DISPLAY is not set)"),
                (Some(":4711"), "the display :4711 does not answer"),
                (Some("nonsense"), "the display nonsense does not answer"),
            ] {
                let outcome = without_display(arguments, display);
                assert_eq!(outcome.code, Some(1), "{arguments:?}: {outcome:?}");
                assert!(outcome.stderr.contains(said), "{arguments:?}: no '{said}' in {}", outcome.stderr);
            }
        }
    }

    /// What is wrong with the files is said first.
    #[test]
    fn files_that_cannot_be_opened_are_refused() {
        let sandbox = sandbox();
        let whole = take().bytes();
        sandbox.write("empty.wav", b"");
        sandbox.write("text.flac", b"Turn the system down before auditioning.");
        sandbox.write("cut.wav", &whole[..whole.len() - 100]);
        sandbox.write("cut.flac", b"fLaC");
        sandbox.write("tag.mp3", b"ID3\x04\0\0\0\0\0\x0aaaaaaaaaaa");
        sandbox.write("slow.wav", Wav { rate_hz: 4_000, ..take() }.bytes());
        sandbox.write("silent.wav", Wav::new(Kind::Float, 1, 48_000, &[]).bytes());
        sandbox.write("nan.wav", Wav::new(Kind::Float, 1, 48_000, &[0.0, f64::NAN]).bytes());
        std::fs::create_dir(sandbox.path("folder.wav")).unwrap();
        for (file, said) in [
            ("missing.wav", "missing.wav: cannot open it"),
            ("folder.wav", "it is a folder"),
            ("empty.wav", "it is empty; accepted are WAV, FLAC and MP3 files"),
            ("text.flac", "it is no WAV, FLAC or MP3 file"),
            ("cut.wav", "truncated: the header promises 4800 frames"),
            ("cut.flac", "it cannot be read as FLAC"),
            ("tag.mp3", "there is no sound in it"),
            ("slow.wav", "its sample rate is 4000 Hz"),
            ("silent.wav", "there is no sound in it"),
            ("nan.wav", "--salvage passes over it"),
            ("presets/courtyard.toml", "it is no WAV, FLAC or MP3 file"),
        ] {
            let outcome = sandbox.run(&["open", file]);
            assert_eq!(outcome.code, Some(2), "{file}: {outcome:?}");
            assert!(outcome.stderr.contains(said), "{file}: no '{said}' in {}", outcome.stderr);
        }
        for (setups, said) in [("none.toml", "cannot read it as a file of setups"), ("take.wav", "take.wav")]
        {
            let outcome = sandbox.run(&["open", "take.wav", "--setups", setups]);
            assert_eq!(outcome.code, Some(2), "{outcome:?}");
            assert!(outcome.stderr.contains(said), "{outcome:?}");
        }
    }

    /// A blend needs two tracks.
    #[test]
    fn takes_that_do_not_fit_the_pickups_are_refused() {
        let sandbox = sandbox();
        let blend = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../presets/blend.toml");
        sandbox.write("blend.toml", std::fs::read(blend).unwrap());
        let outcome = sandbox.run(&["open", "take.wav", "--setups", "blend.toml"]);
        assert_eq!(outcome.code, Some(2), "{outcome:?}");
        assert!(outcome.stderr.contains("needs a track for each"), "{outcome:?}");
    }
}
