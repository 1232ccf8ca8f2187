//! What the desktop says of itself on X11: the freedesktop specification "XSETTINGS", version 0.5. A manager owns a selection, and has all
//! settings in one property of a window of its own.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;

use egui::Theme;
use x11rb::connection::Connection as _;
use x11rb::errors::ReplyOrIdError;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    AtomEnum, ChangeWindowAttributesAux, ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask,
    WindowClass,
};
use x11rb::rust_connection::RustConnection;

use super::system::Desktop;

/// The most words of four bytes that are read.
const MOST_WORDS: u32 = 1 << 18;

/// Of a manager's property. `None` if it is damaged.
fn read(bytes: &[u8]) -> Option<Desktop> {
    let mut reader = Reader { bytes, is_big: *bytes.first()? == 1 };
    reader.take(8)?;
    let count = reader.number()?;
    let (mut name, mut prefers_dark, mut animates) = (None, None, None);
    for _ in 0..count {
        let kind = reader.take(2)?[0];
        let length = reader.short()?.into();
        let key = reader.padded(length)?;
        reader.take(4)?;
        match kind {
            0 => {
                let value = reader.number()? != 0;
                match key {
                    b"Gtk/ApplicationPreferDarkTheme" => prefers_dark = Some(value),
                    b"Net/EnableAnimations" | b"Gtk/EnableAnimations" => animates = Some(value),
                    _ => {}
                }
            }
            1 => {
                let length = usize::try_from(reader.number()?).ok()?;
                let value = reader.padded(length)?;
                if key == b"Net/ThemeName" {
                    name = Some(String::from_utf8_lossy(value).to_lowercase());
                }
            }
            2 => drop(reader.take(8)?),
            _ => return None,
        }
    }
    // By custom a dark theme has it among its names: "Something-dark".
    let is_dark = |name: String| name.split('-').skip(1).any(|part| part == "dark");
    let dark = match (name.map(is_dark), prefers_dark) {
        (None, None) => None,
        (name, prefers) => Some(name == Some(true) || prefers == Some(true)),
    };
    let theme = dark.map(|dark| if dark { Theme::Dark } else { Theme::Light });
    Some(Desktop { theme, is_still: animates == Some(false) })
}

struct Reader<'a> {
    bytes: &'a [u8],
    is_big: bool,
}

impl<'a> Reader<'a> {
    fn take(&mut self, length: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.bytes.split_at_checked(length)?;
        self.bytes = rest;
        Some(taken)
    }

    /// With what fills up four bytes.
    fn padded(&mut self, length: usize) -> Option<&'a [u8]> {
        self.take(length.checked_next_multiple_of(4)?)?.get(..length)
    }

    fn short(&mut self) -> Option<u16> {
        let bytes = self.take(2)?.try_into().ok()?;
        Some(if self.is_big { u16::from_be_bytes(bytes) } else { u16::from_le_bytes(bytes) })
    }

    fn number(&mut self) -> Option<u32> {
        let bytes = self.take(4)?.try_into().ok()?;
        Some(if self.is_big { u32::from_be_bytes(bytes) } else { u32::from_le_bytes(bytes) })
    }
}

/// Follows the desktop while it lives, on a thread that waits for the display.
pub(super) struct Watch {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

struct Shared {
    connection: RustConnection,
    /// A window that nobody sees, to wake the thread by.
    own: u32,
    /// The selection that a manager owns, its property, and what a new one says to the root.
    atoms: [u32; 3],
    root: u32,
    ends: AtomicBool,
    desktop: Mutex<Desktop>,
}

impl Watch {
    /// Reads what the desktop says now; `changed` is called, on the thread, when it says something else.
    pub fn new(changed: impl Fn() + Send + 'static) -> Result<Self, ReplyOrIdError> {
        let Ok((connection, screen)) = x11rb::connect(None) else {
            return Err(x11rb::errors::ConnectionError::UnknownError.into());
        };
        let names = [format!("_XSETTINGS_S{screen}"), "_XSETTINGS_SETTINGS".to_owned(), "MANAGER".to_owned()];
        let mut atoms = [0; 3];
        for (atom, name) in atoms.iter_mut().zip(names) {
            *atom = connection.intern_atom(false, name.as_bytes())?.reply()?.atom;
        }
        let root = connection.setup().roots[screen].root;
        let own = connection.generate_id()?;
        let only = CreateWindowAux::new();
        connection.create_window(0, own, root, 0, 0, 1, 1, 0, WindowClass::INPUT_ONLY, 0, &only)?;
        let hear = ChangeWindowAttributesAux::new().event_mask(EventMask::STRUCTURE_NOTIFY);
        connection.change_window_attributes(root, &hear)?;
        let shared =
            Shared { connection, own, atoms, root, ends: AtomicBool::new(false), desktop: Mutex::default() };
        let shared = Arc::new(shared);
        shared.look()?;
        let thread = std::thread::Builder::new().spawn({
            let shared = shared.clone();
            move || shared.wait(changed)
        });
        Ok(Self { shared, thread: thread.ok() })
    }

    /// What the desktop says.
    pub fn desktop(&self) -> Desktop {
        *self.shared.desktop.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.shared.ends.store(true, Ordering::SeqCst);
        let woken = self.shared.wake();
        // Without a display the thread has ended by itself.
        if let Some(thread) = self.thread.take()
            && (woken.is_ok() || thread.is_finished())
        {
            let _ = thread.join();
        }
    }
}

impl Shared {
    /// Reads, and listens to whoever manages; true if it is another desktop than before. One that is damaged is as it was.
    fn look(&self) -> Result<bool, ReplyOrIdError> {
        let [selection, property, _] = self.atoms;
        let owner = self.connection.get_selection_owner(selection)?.reply()?.owner;
        if owner != x11rb::NONE {
            let mask = EventMask::PROPERTY_CHANGE | EventMask::STRUCTURE_NOTIFY;
            let hear = ChangeWindowAttributesAux::new().event_mask(mask);
            self.connection.change_window_attributes(owner, &hear)?;
        }
        let mut desktop = Some(Desktop::default());
        if owner != x11rb::NONE {
            let any = AtomEnum::ANY;
            let reply = self.connection.get_property(false, owner, property, any, 0, MOST_WORDS)?.reply()?;
            desktop = read(&reply.value);
        }
        let mut now = self.desktop.lock().unwrap_or_else(PoisonError::into_inner);
        let desktop = desktop.unwrap_or(*now);
        Ok(std::mem::replace(&mut *now, desktop) != desktop)
    }

    fn wait(&self, changed: impl Fn()) {
        while let Ok(event) = self.connection.wait_for_event() {
            if self.ends.load(Ordering::SeqCst) {
                return;
            }
            let [selection, property, manager] = self.atoms;
            let may_be_new = match event {
                Event::PropertyNotify(event) => event.atom == property,
                // A manager comes, or goes.
                Event::ClientMessage(event) => {
                    event.type_ == manager && event.data.as_data32()[1] == selection
                }
                Event::DestroyNotify(event) => event.window != self.root,
                _ => false,
            };
            // A manager that has just gone is an error, and the next event.
            if may_be_new && self.look().unwrap_or(false) {
                changed();
            }
        }
    }

    fn wake(&self) -> Result<(), ReplyOrIdError> {
        let event = ClientMessageEvent::new(32, self.own, self.atoms[1], [0_u32; 5]);
        self.connection.send_event(false, self.own, EventMask::NO_EVENT, event)?;
        self.connection.flush()?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As the specification has it: kind, name, serial, value.
    fn property(is_big: bool, settings: &[(&str, Result<u32, &str>)]) -> Vec<u8> {
        let number = |value: u32| if is_big { value.to_be_bytes() } else { value.to_le_bytes() };
        let short = |value: usize| {
            let value = u16::try_from(value).unwrap();
            if is_big { value.to_be_bytes() } else { value.to_le_bytes() }
        };
        let padded = |text: &str| {
            let mut bytes = text.as_bytes().to_vec();
            bytes.resize(text.len().next_multiple_of(4), 0);
            bytes
        };
        let length = |count: usize| number(u32::try_from(count).unwrap());
        let mut bytes = vec![u8::from(is_big), 0, 0, 0];
        bytes.extend(number(7));
        bytes.extend(length(settings.len()));
        for (name, value) in settings {
            bytes.extend([u8::from(value.is_err()), 0]);
            bytes.extend(short(name.len()));
            bytes.extend(padded(name));
            bytes.extend(number(1));
            match value {
                Ok(value) => bytes.extend(number(*value)),
                Err(text) => {
                    bytes.extend(length(text.len()));
                    bytes.extend(padded(text));
                }
            }
        }
        bytes
    }

    #[test]
    fn themes_and_motion_are_read() {
        let (dark, light) = (Some(Theme::Dark), Some(Theme::Light));
        let name = "Net/ThemeName";
        for is_big in [false, true] {
            for (settings, theme, is_still) in [
                (&[][..], None, false),
                (&[("Xft/DPI", Ok(98_304)), (name, Err("Plain-dark"))], dark, false),
                (&[(name, Err("Plain-Dark-Blue"))], dark, false),
                (&[(name, Err("Plain"))], light, false),
                (&[(name, Err("Darkness"))], light, false),
                (&[(name, Err("Plain")), ("Gtk/ApplicationPreferDarkTheme", Ok(1))], dark, false),
                (&[("Gtk/ApplicationPreferDarkTheme", Ok(0))], light, false),
                (&[("Gtk/EnableAnimations", Ok(0))], None, true),
                (&[("Net/EnableAnimations", Ok(1)), (name, Err("P-dark"))], dark, false),
            ] {
                let bytes = property(is_big, settings);
                assert_eq!(read(&bytes), Some(Desktop { theme, is_still }), "{settings:?}");
                for length in 0..bytes.len() {
                    assert_eq!(read(&bytes[..length]), None, "cut after {length}");
                }
            }
        }
    }
}
