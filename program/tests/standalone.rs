//! The commands that have a window or sound: what every build says of them, and what those with the features refuse.

use crate::support::Sandbox;

/// A folder with a take; the file of setups is the demo's.
fn sandbox() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.courtyard();
    #[cfg(all(feature = "window", target_os = "linux"))]
    sandbox.write("take.wav", window::take().bytes());
    sandbox
}

#[test]
fn every_build_tells_what_the_windows_are_for() {
    let sandbox = sandbox();
    let open = sandbox.done(&["open", "--help"]);
    for said in ["WAV, AIFF, FLAC or MP3", "feature window", "hurt", "space plays"] {
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
    use std::io::{BufRead, BufReader};
    use std::os::unix::process::ExitStatusExt;
    use std::process::{Child, Command, Stdio};
    use std::time::{Duration, Instant};

    use nix::sys::signal::{Signal, kill};
    use nix::unistd::Pid;
    use x11rb::connection::Connection;
    use x11rb::protocol::xproto::{ClientMessageEvent, ConnectionExt, EventMask, ImageFormat};
    use x11rb::rust_connection::RustConnection;

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
        for arguments in with_windows() {
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
            (
                "empty.wav",
                "it is empty; accepted are WAV (RF64, BW64 and BWF too), AIFF, AIFC and FLAC files of 8- to 64-bit integers or 32- or 64-bit floats, and MP3",
            ),
            ("text.flac", "it is no WAV, AIFF or FLAC file, and no MP3"),
            ("cut.wav", "truncated: the header promises 4800 frames"),
            ("cut.flac", "its header is truncated"),
            ("tag.mp3", "there is no sound in it"),
            ("slow.wav", "its sample rate is 4000 Hz"),
            ("silent.wav", "there is no sound in it"),
            ("nan.wav", "--allow-damaged passes over it"),
            ("presets/courtyard.toml", "it is no WAV, AIFF or FLAC file, and no MP3"),
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

    /// Real windows on a display of their own, drawn in software, which close when they are asked to.
    #[test]
    fn windows_open_draw_and_close() {
        if !crate::needs::has("Xvfb") {
            return;
        }
        let screen = Screen::new();
        for arguments in with_windows() {
            let (mut running, window) = opened(&screen, arguments);
            screen.close(window);
            until(|| running.try_wait().unwrap());
            let outcome = Outcome::of(running.wait_with_output());
            assert_eq!(outcome.code, Some(0), "{arguments:?}: {outcome:?}");
            if arguments[0] == "live" {
                assert!(outcome.stdout.contains("No sound: only the window."), "{outcome:?}");
            }
        }
    }

    /// Ctrl-C in the terminal, a session that ends: nothing waits for the window to be closed.
    #[test]
    fn a_signal_ends_it_with_its_window_open() {
        if !crate::needs::has("Xvfb") {
            return;
        }
        let screen = Screen::new();
        for arguments in with_windows() {
            for signal in [Signal::SIGINT, Signal::SIGTERM] {
                let (mut running, _) = opened(&screen, arguments);
                kill(Pid::from_raw(running.id().try_into().unwrap()), signal).unwrap();
                let ended = until(|| running.try_wait().unwrap());
                assert_eq!(ended.signal(), Some(signal as i32), "{arguments:?}: {ended}");
            }
        }
    }

    fn with_windows() -> impl Iterator<Item = &'static [&'static str]> {
        const LIVE: &[&str] = &["live", "--backend", "dummy"];
        [&OPEN, LIVE].into_iter().take(if cfg!(feature = "sound") { 2 } else { 1 })
    }

    /// The program once something is drawn in its window.
    fn opened(screen: &Screen, arguments: &[&str]) -> (Child, u32) {
        let sandbox = sandbox();
        let mut command = sandbox.command(arguments);
        command.env("DISPLAY", &screen.name).env("LIBGL_ALWAYS_SOFTWARE", "1");
        // Nobody's own settings are read.
        command
            .env("XDG_CONFIG_HOME", sandbox.path("settings"))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        let mut running = command.spawn().unwrap();
        let window = until(|| {
            assert_eq!(running.try_wait().unwrap(), None, "{arguments:?} ended");
            screen.drawn_window()
        });
        (running, window)
    }

    /// What a loop finds in the end.
    fn until<T>(mut found: impl FnMut() -> Option<T>) -> T {
        let begin = Instant::now();
        loop {
            if let Some(found) = found() {
                return found;
            }
            assert!(begin.elapsed() < Duration::from_secs(60), "it took too long");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    struct Screen {
        name: String,
        server: Child,
        connection: RustConnection,
        root: u32,
    }

    impl Screen {
        fn new() -> Self {
            let mut command = Command::new("Xvfb");
            command.args(["-displayfd", "1", "-screen", "0", "1280x1024x24", "-nolisten", "tcp"]);
            let mut server = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
            let mut number = String::new();
            BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
            let name = format!(":{}", number.trim());
            let (connection, screen) = x11rb::connect(Some(&name)).unwrap();
            let root = connection.setup().roots[screen].root;
            Self { name, server, connection, root }
        }

        /// A window in which there is text: that has more colours than a plain ground.
        fn drawn_window(&self) -> Option<u32> {
            let windows = self.connection.query_tree(self.root).unwrap().reply().unwrap().children;
            windows.into_iter().find(|window| {
                let size = self.connection.get_geometry(*window).unwrap().reply().unwrap();
                let (width, height) = (size.width, size.height);
                let image =
                    self.connection.get_image(ImageFormat::Z_PIXMAP, *window, 0, 0, width, height, !0);
                image.unwrap().reply().is_ok_and(|image| {
                    image.data.chunks(4).collect::<std::collections::BTreeSet<_>>().len() >= 8
                })
            })
        }

        /// As window managers ask.
        fn close(&self, window: u32) {
            let atom = |name: &[u8]| self.connection.intern_atom(false, name).unwrap().reply().unwrap().atom;
            let event = ClientMessageEvent::new(
                32,
                window,
                atom(b"WM_PROTOCOLS"),
                [atom(b"WM_DELETE_WINDOW"), 0, 0, 0, 0],
            );
            self.connection.send_event(false, window, EventMask::NO_EVENT, event).unwrap();
            self.connection.flush().unwrap();
        }
    }

    impl Drop for Screen {
        fn drop(&mut self) {
            let _ = self.server.kill();
            let _ = self.server.wait();
        }
    }
}
