//! What the framework leaves undone on X11, where a click gives a window the keyboard: keys that are not the editor's go back to the
//! host, a window that nobody can see is not drawn, and one that is as the system changes with it.

use egui::{Event, Key, Modifiers};
use raw_window_handle::{HasWindowHandle, RawWindowHandle};
use x11rb::CURRENT_TIME;
use x11rb::connection::Connection as _;
use x11rb::errors::ReplyOrIdError;
use x11rb::properties::WmSizeHints;
use x11rb::protocol::xproto::{
    ConnectionExt as _, EventMask, KEY_PRESS_EVENT, KEY_RELEASE_EVENT, KeyButMask, KeyPressEvent, MapState,
};
use x11rb::rust_connection::RustConnection;

use super::system::Desktop;
use super::xsettings::Watch;

/// Keysym of F1 (X11's keysymdef.h); the others follow it.
const F1: u32 = 0xffbe;

/// A window and what is around it.
pub(super) struct Surroundings {
    connection: RustConnection,
    window: u32,
    /// Keysyms that the host has been told are down. Some hosts send what they get to the window again: that goes round once.
    down: Vec<u32>,
    watch: Option<Watch>,
}

impl Surroundings {
    /// Of a window of X11; `changed` asks it for a frame.
    pub fn of(window: &impl HasWindowHandle, changed: impl Fn() + Send + 'static) -> Option<Self> {
        let RawWindowHandle::Xlib(handle) = window.window_handle().ok()?.as_raw() else { return None };
        let (connection, _) = x11rb::connect(None).ok()?;
        let window = u32::try_from(handle.window).ok()?;
        Some(Self { connection, window, down: Vec::new(), watch: Watch::new(changed).ok() })
    }

    /// What the desktop wants.
    pub fn desktop(&self) -> Desktop {
        self.watch.as_ref().map(Watch::desktop).unwrap_or_default()
    }

    /// Tells window managers, and hosts that ask like them, the smallest size in pixels.
    pub fn set_smallest(&self, pixels: (i32, i32)) {
        let hints = WmSizeHints { min_size: Some(pixels), ..WmSizeHints::new() };
        // Whoever does not know it may make it smaller.
        let _ = hints.set_normal_hints(&self.connection, self.window).map(|_| self.connection.flush());
    }

    /// Whether it and all windows around it are mapped. What is covered by others counts as seen.
    pub fn can_be_seen(&self) -> bool {
        let attributes = self.connection.get_window_attributes(self.window).map(|cookie| cookie.reply());
        attributes.is_ok_and(|reply| reply.is_ok_and(|reply| reply.map_state == MapState::VIEWABLE))
    }

    /// Sends those keys on that the editor has no use for while no text is typed.
    pub fn give_back(&mut self, events: &[Event]) {
        for event in events {
            let Event::Key { key, pressed, modifiers, .. } = event else { continue };
            let Some(keysym) = host_key(*key, *modifiers) else { continue };
            let is_down = self.down.contains(&keysym);
            if is_down != *pressed {
                self.down.retain(|one| *one != keysym);
                self.down.extend(pressed.then_some(keysym));
                // The host has the keyboard again after a click of its own, so a key that is lost is no harm.
                let _ = self.send(keysym, *pressed, *modifiers);
            }
        }
    }

    fn send(&self, keysym: u32, pressed: bool, modifiers: Modifiers) -> Result<(), ReplyOrIdError> {
        let setup = self.connection.setup();
        let (low, high) = (setup.min_keycode, setup.max_keycode);
        let map = self.connection.get_keyboard_mapping(low, high - low + 1)?.reply()?;
        let keys = map.keysyms.chunks(usize::from(map.keysyms_per_keycode.max(1)));
        let Some(keycode) =
            (low..=high).zip(keys).find_map(|(code, key)| key.contains(&keysym).then_some(code))
        else {
            return Ok(());
        };
        let tree = self.connection.query_tree(self.window)?.reply()?;
        let mut state = KeyButMask::default();
        for (is_held, mask) in [
            (modifiers.shift, KeyButMask::SHIFT),
            (modifiers.ctrl, KeyButMask::CONTROL),
            (modifiers.alt, KeyButMask::MOD1),
        ] {
            state |= if is_held { mask } else { KeyButMask::default() };
        }
        let (kind, mask) = if pressed {
            (KEY_PRESS_EVENT, EventMask::KEY_PRESS)
        } else {
            (KEY_RELEASE_EVENT, EventMask::KEY_RELEASE)
        };
        let event = KeyPressEvent {
            response_type: kind,
            detail: keycode,
            sequence: 0,
            time: CURRENT_TIME,
            root: tree.root,
            event: tree.parent,
            child: self.window,
            root_x: 0,
            root_y: 0,
            event_x: 0,
            event_y: 0,
            state,
            same_screen: true,
        };
        self.connection.send_event(true, tree.parent, mask, event)?;
        self.connection.flush()?;
        Ok(())
    }
}

/// The keysym of a key that is the host's: the space bar, letters and function keys, but for what the editor's help lists and the
/// clipboard's.
fn host_key(key: Key, modifiers: Modifiers) -> Option<u32> {
    if key == Key::Space {
        return Some(u32::from(' '));
    }
    let name = key.name();
    if let Some(number) = name.strip_prefix('F').and_then(|number| number.parse::<u32>().ok()) {
        return (2..=12).contains(&number).then(|| F1 + number - 1);
    }
    let mut letters = name.chars();
    let letter = letters.next().filter(char::is_ascii_alphabetic)?;
    let ours = modifiers.command && "ZCXVA".contains(letter);
    // Keysyms of Latin letters are their codes.
    (letters.next().is_none() && !ours).then(|| u32::from(letter.to_ascii_lowercase()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keysyms from X11's keysymdef.h.
    #[test]
    fn what_the_editor_uses_stays() {
        let none = Modifiers::NONE;
        for (key, modifiers, keysym) in [
            (Key::Space, none, Some(0x20)),
            (Key::Space, Modifiers::CTRL, Some(0x20)),
            (Key::R, none, Some(0x72)),
            (Key::S, Modifiers::COMMAND, Some(0x73)),
            (Key::Z, Modifiers::COMMAND, None),
            (Key::Z, none, Some(0x7a)),
            (Key::F1, none, None),
            (Key::F5, none, Some(0xffc2)),
            (Key::F12, none, Some(0xffc9)),
            (Key::Num3, none, None),
            (Key::Tab, none, None),
            (Key::Escape, none, None),
            (Key::ArrowUp, none, None),
        ] {
            assert_eq!(host_key(key, modifiers), keysym, "{key:?}");
        }
    }
}
