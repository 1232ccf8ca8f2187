//! A display, and a hand on its pointer and keyboard (XTEST): what a person does, a window cannot tell from it.

#[path = "../../../tests/rust/needs.rs"]
mod needs;

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use x11rb::CURRENT_TIME;
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::damage::{ConnectionExt as _, ReportLevel};
use x11rb::protocol::xproto::{
    BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ChangeWindowAttributesAux, ConfigureWindowAux, ConnectionExt,
    CreateWindowAux, EventMask, ImageFormat, InputFocus, KEY_PRESS_EVENT, KEY_RELEASE_EVENT,
    MOTION_NOTIFY_EVENT, WindowClass,
};
use x11rb::protocol::xtest::ConnectionExt as _;
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// Keysyms (X11's keysymdef.h) of keys that are no letters.
pub const ENTER: u32 = 0xff0d;
const SHIFT: u32 = 0xffe1;
const CONTROL: u32 = 0xffe3;

/// Size of a window to put the editor into.
pub const SIZE: (u16, u16) = (960, 640);

/// The display.
pub struct Display {
    connection: RustConnection,
    screen: usize,
    /// Keysyms of each key, from the lowest keycode on.
    keys: Vec<Vec<u32>>,
    /// How long a hand takes for a movement.
    pace: Duration,
}

impl Display {
    /// The environment's; or a new one, which is then the environment's. `None` where a person said that there is no Xvfb.
    ///
    /// # Safety
    /// No other thread may ask for the environment meanwhile.
    pub unsafe fn new() -> Option<Self> {
        // SAFETY: the caller's promise. Nobody's graphics card is asked.
        unsafe { std::env::set_var("LIBGL_ALWAYS_SOFTWARE", "1") };
        if std::env::var_os("DISPLAY").is_none() {
            if !needs::has("Xvfb") {
                return None;
            }
            // SAFETY: as above.
            unsafe { std::env::set_var("DISPLAY", start_xvfb()) };
        }
        let (connection, screen) = x11rb::connect(None).unwrap();
        let setup = connection.setup();
        let (low, high) = (setup.min_keycode, setup.max_keycode);
        let map = connection.get_keyboard_mapping(low, high - low + 1).unwrap().reply().unwrap();
        let keys = map.keysyms.chunks(usize::from(map.keysyms_per_keycode)).map(<[u32]>::to_vec).collect();
        connection.damage_query_version(1, 1).unwrap().reply().unwrap();
        Some(Self { connection, screen, keys, pace: Duration::from_millis(40) })
    }

    /// A window to put the editor into.
    pub fn window(&self) -> u32 {
        self.window_at(0)
    }

    /// So far from the left.
    pub fn window_at(&self, x: i16) -> u32 {
        let screen = &self.connection.setup().roots[self.screen];
        let id = self.connection.generate_id().unwrap();
        let attributes = CreateWindowAux::new().background_pixel(screen.black_pixel);
        let (width, height) = SIZE;
        self.connection
            .create_window(
                0,
                id,
                screen.root,
                x,
                0,
                width,
                height,
                0,
                WindowClass::INPUT_OUTPUT,
                0,
                &attributes,
            )
            .unwrap();
        self.connection.map_window(id).unwrap();
        self.connection.sync().unwrap();
        id
    }

    pub fn close(&self, window: u32) {
        self.connection.destroy_window(window).unwrap();
        self.connection.sync().unwrap();
    }

    pub fn map(&self, window: u32, mapped: bool) {
        if mapped {
            self.connection.map_window(window).unwrap();
        } else {
            self.connection.unmap_window(window).unwrap();
        }
        self.connection.sync().unwrap();
    }

    /// Gives a window another size, as a host does.
    pub fn resize(&self, window: u32, (width, height): (u32, u32)) {
        let size = ConfigureWindowAux::new().width(width).height(height);
        self.connection.configure_window(window, &size).unwrap();
        self.connection.sync().unwrap();
    }

    /// The window inside of a window.
    pub fn inner(&self, window: u32) -> Option<u32> {
        self.connection.query_tree(window).unwrap().reply().unwrap().children.first().copied()
    }

    pub fn size(&self, window: u32) -> (u16, u16) {
        let geometry = self.connection.get_geometry(window).unwrap().reply().unwrap();
        (geometry.width, geometry.height)
    }

    /// The pixels of a part of a window, four bytes each.
    pub fn picture(&self, window: u32, [x, y, width, height]: [i16; 4]) -> Vec<u8> {
        let [width, height] = [width, height].map(|side| u16::try_from(side).unwrap());
        let image =
            self.connection.get_image(ImageFormat::Z_PIXMAP, window, x, y, width, height, !0).unwrap();
        image.reply().unwrap().data
    }

    /// Text has more colours than a plain background.
    pub fn is_drawn(&self, window: u32) -> bool {
        let picture = self.picture(window, [0, 0, 960, 640]);
        picture.chunks(4).collect::<BTreeSet<_>>().len() >= 8
    }

    /// How often something was drawn in a window while `meanwhile` happened.
    pub fn drawings(&self, window: u32, meanwhile: impl FnOnce()) -> usize {
        let damage = self.connection.generate_id().unwrap();
        self.connection.damage_create(damage, window, ReportLevel::RAW_RECTANGLES).unwrap();
        self.connection.sync().unwrap();
        let _ = self.events();
        meanwhile();
        self.connection.sync().unwrap();
        let count = self.events().into_iter().filter(|event| matches!(event, Event::DamageNotify(_))).count();
        self.connection.damage_destroy(damage).unwrap();
        count
    }

    /// From now on what is drawn in this window is among [`Self::drawn`].
    pub fn watch_drawing(&self, window: u32) {
        let damage = self.connection.generate_id().unwrap();
        self.connection.damage_create(damage, window, ReportLevel::RAW_RECTANGLES).unwrap();
        self.connection.sync().unwrap();
    }

    /// How often something has been drawn since events were last looked at, in a window that is watched.
    pub fn drawn(&self, window: u32) -> usize {
        let drawn = |event: &Event| matches!(event, Event::DamageNotify(event) if event.drawable == window);
        self.events().iter().filter(|event| drawn(event)).count()
    }

    /// From now on keys that reach this window are among [`Self::keys_of`].
    pub fn watch_keys(&self, window: u32) {
        let mask = EventMask::KEY_PRESS | EventMask::KEY_RELEASE;
        let attributes = ChangeWindowAttributesAux::new().event_mask(mask);
        self.connection.change_window_attributes(window, &attributes).unwrap();
        self.connection.sync().unwrap();
    }

    /// Keysyms that were pressed and reached a window that is watched.
    pub fn keys_of(&self, window: u32) -> Vec<u32> {
        let low = self.connection.setup().min_keycode;
        let pressed = self.events().into_iter().filter_map(|event| match event {
            Event::KeyPress(event) if event.event == window => {
                Some(self.keys[usize::from(event.detail - low)][0])
            }
            _ => None,
        });
        pressed.collect()
    }

    fn events(&self) -> Vec<Event> {
        self.connection.sync().unwrap();
        std::iter::from_fn(|| self.connection.poll_for_event().unwrap()).collect()
    }

    fn act(&self, kind: u8, detail: u8, at: (i16, i16)) {
        self.fake(kind, detail, at);
        // Fast, but a hand: no two in one frame.
        sleep(self.pace);
    }

    fn fake(&self, kind: u8, detail: u8, (x, y): (i16, i16)) {
        let root = self.connection.setup().roots[self.screen].root;
        self.connection.xtest_fake_input(kind, detail, 0, root, x, y, 0).unwrap();
        self.connection.sync().unwrap();
    }

    /// From now on the hand does not wait: whoever moves it sees for itself when a frame has passed.
    pub const fn hurry(&mut self) {
        self.pace = Duration::ZERO;
    }

    /// Gives a window the keyboard.
    pub fn focus(&self, window: u32) {
        self.connection.set_input_focus(InputFocus::PARENT, window, CURRENT_TIME).unwrap();
        self.connection.sync().unwrap();
    }

    pub fn point(&self, at: (i16, i16)) {
        self.act(MOTION_NOTIFY_EVENT, 0, at);
    }

    pub fn click(&self, at: (i16, i16)) {
        self.point(at);
        self.act(BUTTON_PRESS_EVENT, 1, (0, 0));
        self.act(BUTTON_RELEASE_EVENT, 1, (0, 0));
    }

    /// From one point through the others.
    pub fn drag(&self, way: &[(i16, i16)]) {
        self.drag_and_hold(way);
        self.release();
    }

    /// The same, with the button still down at the end.
    pub fn drag_and_hold(&self, way: &[(i16, i16)]) {
        self.point(way[0]);
        self.act(BUTTON_PRESS_EVENT, 1, (0, 0));
        for at in &way[1..] {
            self.point(*at);
            // A frame each, however busy the machine is.
            sleep(Duration::from_millis(120));
        }
    }

    pub fn hold(&self) {
        self.act(BUTTON_PRESS_EVENT, 1, (0, 0));
    }

    pub fn release(&self) {
        self.act(BUTTON_RELEASE_EVENT, 1, (0, 0));
    }

    /// Presses and releases the key of a keysym, with Shift if that is where it is.
    pub fn key(&self, keysym: u32) {
        let (code, shifted) = self.code(keysym);
        let with = if shifted { vec![self.code(SHIFT).0, code] } else { vec![code] };
        self.press(&with);
    }

    /// The same with Control.
    pub fn control_key(&self, keysym: u32) {
        self.press(&[self.code(CONTROL).0, self.code(keysym).0]);
    }

    /// The same with Control and Shift.
    pub fn control_shift_key(&self, keysym: u32) {
        self.press(&[CONTROL, SHIFT, keysym].map(|one| self.code(one).0));
    }

    fn press(&self, codes: &[u8]) {
        codes.iter().for_each(|code| self.act(KEY_PRESS_EVENT, *code, (0, 0)));
        codes.iter().rev().for_each(|code| self.act(KEY_RELEASE_EVENT, *code, (0, 0)));
    }

    /// Keysyms of Latin letters are their codes.
    pub fn write(&self, text: &str) {
        text.chars().for_each(|letter| self.key(u32::from(letter)));
    }

    fn code(&self, keysym: u32) -> (u8, bool) {
        let low = usize::from(self.connection.setup().min_keycode);
        let found = self.keys.iter().enumerate().find_map(|(index, keysyms)| {
            let level = keysyms.iter().take(2).position(|one| *one == keysym)?;
            Some((u8::try_from(low + index).unwrap(), level == 1))
        });
        found.unwrap_or_else(|| panic!("no key gives {keysym:#x}"))
    }
}

/// Waits until something is so.
pub fn until(what: &str, mut is_so: impl FnMut() -> bool) {
    let begin = Instant::now();
    while !is_so() {
        assert!(begin.elapsed() < Duration::from_secs(30), "{what}: not within 30 s");
        sleep(Duration::from_millis(20));
    }
}

#[expect(clippy::zombie_processes, reason = "it ends after this process")]
fn start_xvfb() -> String {
    let mut command = Command::new("Xvfb");
    // It ends with its last client: killed before, it would take this process along, whose GL library holds a connection.
    command.args(["-terminate", "-displayfd", "1", "-screen", "0", "2048x1024x24", "-nolisten", "tcp"]);
    let mut server = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let mut number = String::new();
    BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
    format!(":{}", number.trim())
}

/// No thread of a window: they have ended when it is closed, or they would still run when a process ends or unloads the plugin. What
/// the clipboard's own thread needs to see that its pipe is closed is the one exception, of a moment.
pub fn no_window_is_left() {
    let names = std::fs::read_dir("/proc/self/task").unwrap().map(|task| {
        let name = task.unwrap().path().join("comm");
        std::fs::read_to_string(name).unwrap_or_default()
    });
    let names: Vec<_> = names.collect();
    // The harness's, this one, the plugin's in the background, and the clipboard's.
    assert!(names.len() <= 4, "left behind by a window that is closed: {names:?}");
}

/// No thread but the harness's and this one, and no connection but the test's own.
pub fn nothing_is_left() {
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
