//! The window as a window, in a host: its size and zoom, what is remembered of it, the system's theme, and what is drawn again. On X11 with
//! software GL.
#![cfg(all(feature = "editor", target_os = "linux"))]

#[path = "../editor_host/display.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod display;
#[path = "../editor/fake.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod fake;
#[path = "../host/mod.rs"]
mod host;
mod kept;
mod parts;
#[path = "../editor_host/plan.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod plan;
mod theme;
mod zoom;

use std::path::PathBuf;
use std::thread::sleep;
use std::time::Duration;

use display::{Display, nothing_is_left, until};
use host::Host;

const VIEW: &str = "View";

/// A host with an open window.
struct Window<'a> {
    host: Host,
    display: &'a Display,
    parent: u32,
    told: (u32, u32),
}

impl<'a> Window<'a> {
    fn open(host: Host, display: &'a Display) -> Self {
        Self::open_at(0, host, display)
    }

    fn open_at(x: i16, mut host: Host, display: &'a Display) -> Self {
        let parent = display.window_at(x);
        let told = host.open_editor(parent);
        let mut window = Self { host, display, parent, told: (told.width, told.height) };
        until("drawn", || {
            window.host.idle();
            display.is_drawn(parent)
        });
        window
    }

    fn size(&self) -> (u32, u32) {
        let (width, height) =
            self.display.size(self.display.inner(self.parent).expect("the editor's window"));
        (width.into(), height.into())
    }

    fn idle(&mut self, milliseconds: u64) {
        for _ in 0..milliseconds / 20 {
            self.host.idle();
            sleep(Duration::from_millis(20));
        }
    }

    fn close(mut self) -> Host {
        self.host.close_editor();
        self.display.close(self.parent);
        self.host
    }
}

/// Where the plugin remembers windows.
fn settings() -> PathBuf {
    PathBuf::from(std::env::var_os("XDG_CONFIG_HOME").unwrap()).join("firstjack").join("editor.toml")
}

fn remembered() -> String {
    std::fs::read_to_string(settings()).unwrap_or_default()
}

fn remember(text: &str) {
    std::fs::create_dir_all(settings().parent().unwrap()).unwrap();
    std::fs::write(settings(), text).unwrap();
}

/// What is looked at, by its name.
type Case = (&'static str, fn(&Display));

/// One test, since the display is the environment's.
#[test]
fn the_window_is_a_window() {
    let folder = tempfile::tempdir().unwrap();
    // SAFETY: the other test is run by itself, and no other thread is running yet that asks for the environment. Nobody's own settings
    // are touched.
    let display = unsafe {
        std::env::set_var("XDG_CONFIG_HOME", folder.path());
        Display::new()
    };
    let Some(display) = display else { return };
    // Each by itself while it is worked on.
    let only = std::env::var("FIRSTJACK_FRAME").unwrap_or_default();
    let cases: [Case; 9] = [
        ("reopens", zoom::reopening_changes_nothing),
        ("chosen", zoom::a_zoom_is_chosen),
        ("refused", zoom::a_host_refuses),
        ("instances", kept::two_instances_keep_theirs),
        ("processes", kept::two_processes_keep_theirs),
        ("closes", kept::closing_writes),
        ("still", kept::it_is_written_when_things_are_still),
        ("parts", parts::parts_are_as_the_whole),
        ("theme", theme::the_window_follows_the_system),
    ];
    for (name, case) in cases.iter().filter(|(name, _)| name.contains(&only)) {
        println!("{name}");
        remember("");
        case(&display);
        nothing_is_left();
    }
}

/// The other of two processes, which the test above starts.
#[test]
#[ignore = "it is a part of the other test"]
fn another_process() {
    // SAFETY: no other test runs in this process.
    let display = unsafe { Display::new() }.expect("the first process has one");
    kept::the_other_process(&display);
}
