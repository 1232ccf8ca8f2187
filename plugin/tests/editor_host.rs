//! The editor's window in a host: opened and closed many times, in two instances, with states loaded and rates changed behind it.
//! On X11 with software GL; without a display Xvfb is started, and without Xvfb nothing is tested, which is said.
#![cfg(all(feature = "editor", target_os = "linux"))]

mod host;

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Write, stderr};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use clack_extensions::gui::GuiSize;
use host::{Host, Noise, Sound, preset};
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{ConnectionExt, CreateWindowAux, ImageFormat, WindowClass};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// The display.
struct Display {
    connection: RustConnection,
    screen: usize,
}

impl Display {
    fn new() -> Option<Self> {
        if std::env::var_os("DISPLAY").is_none() {
            start_xvfb()?;
        }
        let (connection, screen) = x11rb::connect(None).unwrap();
        Some(Self { connection, screen })
    }

    /// A window to put the editor into.
    fn window(&self) -> u32 {
        self.window_at(0)
    }

    fn window_at(&self, x: i16) -> u32 {
        let screen = &self.connection.setup().roots[self.screen];
        let id = self.connection.generate_id().unwrap();
        let attributes = CreateWindowAux::new().background_pixel(screen.black_pixel);
        self.connection
            .create_window(0, id, screen.root, x, 0, 960, 640, 0, WindowClass::INPUT_OUTPUT, 0, &attributes)
            .unwrap();
        self.connection.map_window(id).unwrap();
        self.connection.sync().unwrap();
        id
    }

    fn close(&self, window: u32) {
        self.connection.destroy_window(window).unwrap();
        self.connection.sync().unwrap();
    }

    /// How many colours are to be seen in a window.
    fn colours(&self, window: u32) -> usize {
        let image = self.connection.get_image(ImageFormat::Z_PIXMAP, window, 0, 0, 960, 640, !0).unwrap();
        let data = image.reply().unwrap().data;
        data.chunks(4).map(<[u8]>::to_vec).collect::<BTreeSet<_>>().len()
    }

    /// Waits until text is drawn, which has more colours than a plain background.
    fn await_drawing(&self, window: u32, host: &mut Host) {
        let begin = Instant::now();
        while self.colours(window) < 8 {
            assert!(begin.elapsed() < Duration::from_secs(30), "nothing was drawn");
            host.idle();
            sleep(Duration::from_millis(50));
        }
    }
}

fn start_xvfb() -> Option<()> {
    let mut command = Command::new("Xvfb");
    // It ends with its last client: killed before, it would take this process along, whose GL library holds a connection.
    command.args(["-terminate", "-displayfd", "1", "-screen", "0", "2048x1024x24", "-nolisten", "tcp"]);
    let mut server = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?;
    let mut number = String::new();
    BufReader::new(server.stdout.take()?).read_line(&mut number).unwrap();
    // SAFETY: this is the only test here, and no other thread is running yet that asks for the environment.
    unsafe { std::env::set_var("DISPLAY", format!(":{}", number.trim())) };
    Some(())
}

fn stereo(frames: usize) -> Sound {
    Noise::new(1).sound(2, frames)
}

/// One test, since the display is the environment's.
#[test]
fn the_window_lives_in_a_host() {
    let folder = tempfile::tempdir().unwrap();
    // SAFETY: as above. Nobody's own settings are touched.
    unsafe {
        std::env::set_var("XDG_CONFIG_HOME", folder.path());
        std::env::set_var("LIBGL_ALWAYS_SOFTWARE", "1");
    }
    let Some(display) = Display::new() else {
        writeln!(stderr(), "SKIPPED: Xvfb is not installed, so no window was opened").unwrap();
        return;
    };
    opens_and_closes(&display);
    two_instances(&display);
    a_state_is_loaded(&display);
    the_rate_changes(&display);
    is_resized(&display);
    nothing_is_left();
    zoom_is_kept(&display, &folder.path().join("firstjack").join("editor.toml"));
    let kept = std::fs::read_to_string(folder.path().join("firstjack").join("editor.toml")).unwrap();
    assert!(kept.contains("zoom = 2.0"), "{kept}");
}

/// No thread but the harness's and this one, and no connection but the test's own.
fn nothing_is_left() {
    let sockets = || {
        let links =
            std::fs::read_dir("/proc/self/fd").unwrap().map(|file| std::fs::read_link(file.unwrap().path()));
        links
            .filter(|link| link.as_ref().is_ok_and(|link| link.to_string_lossy().starts_with("socket")))
            .count()
    };
    let threads = || std::fs::read_dir("/proc/self/task").unwrap().count();
    let begin = Instant::now();
    while (threads(), sockets()) != (2, 1) {
        assert!(begin.elapsed() < Duration::from_secs(10), "{} threads, {} sockets", threads(), sockets());
        sleep(Duration::from_millis(100));
    }
}

fn opens_and_closes(display: &Display) {
    let mut host = Host::new();
    for _ in 0..20 {
        let window = display.window();
        let size = host.open_editor(window);
        assert_eq!((size.width, size.height), (960, 640));
        display.await_drawing(window, &mut host);
        host.close_editor();
        display.close(window);
    }
}

fn two_instances(display: &Display) {
    let mut hosts = [Host::new(), Host::new()];
    let windows = [display.window(), display.window_at(980)];
    for (host, window) in hosts.iter_mut().zip(windows) {
        host.open_editor(window);
        display.await_drawing(window, host);
    }
    let [first, second] = &mut hosts;
    first.close_editor();
    display.close(windows[0]);
    second.idle();
    sleep(Duration::from_millis(200));
    assert!(display.colours(windows[1]) >= 8);
    second.close_editor();
    display.close(windows[1]);
}

/// With the framework's allocation guard on `process`, which aborts.
fn a_state_is_loaded(display: &Display) {
    let mut host = Host::running(48_000.0, &[("Heard setup", "Setup 2")]);
    let window = display.window();
    host.open_editor(window);
    display.await_drawing(window, &mut host);
    let sound = stereo(48_000);
    host.run_beside(&sound, 256, |host| {
        for name in ["passive", "blend", "magnetic-single", "courtyard"] {
            host.load_preset(&preset(name));
            host.idle();
            sleep(Duration::from_millis(200));
        }
    });
    host.set("Heard setup", "Setup 4");
    host.idle();
    sleep(Duration::from_millis(200));
    host.close_editor();
    display.close(window);
}

fn the_rate_changes(display: &Display) {
    let mut host = Host::running(44_100.0, &[]);
    let window = display.window();
    host.open_editor(window);
    for rate_hz in [48_000.0, 96_000.0, 192_000.0] {
        host.run(&stereo(4_800), 512);
        host.stop();
        host.start(rate_hz);
        host.idle();
    }
    display.await_drawing(window, &mut host);
    host.close_editor();
    display.close(window);
}

/// Not below the smallest size.
fn is_resized(display: &Display) {
    let mut host = Host::new();
    let window = display.window();
    host.open_editor(window);
    display.await_drawing(window, &mut host);
    let size = host.resize_editor(GuiSize { width: 300, height: 300 });
    assert_eq!((size.width, size.height), (720, 480));
    sleep(Duration::from_millis(500));
    host.close_editor();
    display.close(window);
}

/// The host is told the size that the window has, again and again.
fn zoom_is_kept(display: &Display, settings: &std::path::Path) {
    let kept = std::fs::read_to_string(settings).unwrap();
    assert!(kept.contains("width = 720") && kept.contains("height = 480"), "{kept}");
    std::fs::write(settings, "width = 900.0\nheight = 500.0\nzoom = 2.0").unwrap();
    let mut host = Host::new();
    for _ in 0..3 {
        let window = display.window();
        let size = host.open_editor(window);
        assert_eq!((size.width, size.height), (1800, 1000));
        display.await_drawing(window, &mut host);
        host.close_editor();
        display.close(window);
    }
}
