//! A manager of the desktop's settings (freedesktop's specification "XSETTINGS"), and a window that follows it.

use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{
    ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, PropMode, WindowClass,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

use crate::Window;
use crate::display::{Display, until};
use crate::host::Host;

/// It goes when it is dropped.
struct Manager {
    connection: RustConnection,
    window: u32,
    property: u32,
}

impl Manager {
    fn new(theme: &str) -> Self {
        let (connection, screen) = x11rb::connect(None).unwrap();
        let atom = |name: &str| connection.intern_atom(false, name.as_bytes()).unwrap().reply().unwrap().atom;
        let [selection, property, manager] =
            [&format!("_XSETTINGS_S{screen}"), "_XSETTINGS_SETTINGS", "MANAGER"].map(atom);
        let root = connection.setup().roots[screen].root;
        let window = connection.generate_id().unwrap();
        let attributes = CreateWindowAux::new();
        connection
            .create_window(0, window, root, 0, 0, 1, 1, 0, WindowClass::INPUT_ONLY, 0, &attributes)
            .unwrap();
        connection.set_selection_owner(window, selection, x11rb::CURRENT_TIME).unwrap();
        let new = Self { connection, window, property };
        new.say(theme);
        let event = ClientMessageEvent::new(32, root, manager, [0, selection, window, 0, 0]);
        new.connection.send_event(false, root, EventMask::STRUCTURE_NOTIFY, event).unwrap();
        new.connection.sync().unwrap();
        new
    }

    fn say(&self, theme: &str) {
        // Least significant byte first; serial; one setting: a text, its name of 13 bytes, its serial, its length.
        let mut bytes = vec![0; 4];
        bytes.extend([1_u32.to_le_bytes(), 1_u32.to_le_bytes()].concat());
        bytes.extend([1, 0, 13, 0]);
        bytes.extend(b"Net/ThemeName\0\0\0");
        bytes.extend(1_u32.to_le_bytes());
        bytes.extend(u32::try_from(theme.len()).unwrap().to_le_bytes());
        bytes.extend(theme.as_bytes());
        bytes.resize(bytes.len().next_multiple_of(4), 0);
        let (connection, property) = (&self.connection, self.property);
        connection.change_property8(PropMode::REPLACE, self.window, property, property, &bytes).unwrap();
        connection.sync().unwrap();
    }
}

/// Of all that is seen.
fn is_dark(window: &Window) -> bool {
    let picture = window.display.picture(window.parent, [0, 0, 960, 640]);
    let all: u64 = picture.chunks(4).flat_map(|pixel| &pixel[..3]).map(|part| u64::from(*part)).sum();
    all / (960 * 640 * 3) < 128
}

/// From the start, while it is open, and when another manager comes.
pub fn the_window_follows_the_system(display: &Display) {
    let mut manager = Manager::new("Plain");
    let mut window = Window::open(Host::new(), display);
    until("light", || !is_dark(&window));
    window.idle(500);
    assert!(!is_dark(&window));
    manager.say("Plain-dark");
    until("dark", || is_dark(&window));
    manager.say("Plain");
    until("light", || !is_dark(&window));
    drop(manager);
    manager = Manager::new("Plain-dark");
    until("dark", || is_dark(&window));
    window = Window::open(window.close(), display);
    until("dark", || is_dark(&window));
    window.close();
    drop(manager);
}
