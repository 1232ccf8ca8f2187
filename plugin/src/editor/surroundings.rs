//! What the framework leaves undone on X11, where a click gives a window the keyboard: keys that are not the editor's go back to the
//! host, a window that nobody can see is not drawn, and one that is as the system changes with it.

use egui::{Event, Modifiers};
use raw_window_handle::{HasWindowHandle, RawWindowHandle};
use x11rb::CURRENT_TIME;
use x11rb::connection::Connection as _;
use x11rb::errors::ReplyOrIdError;
use x11rb::properties::WmSizeHints;
use x11rb::protocol::xproto::{
    ConnectionExt as _, EventMask, KEY_PRESS_EVENT, KEY_RELEASE_EVENT, KeyButMask, KeyPressEvent, MapState,
};
use x11rb::rust_connection::RustConnection;

use super::host_keys::{HostKey, HostKeys};
use super::system::Desktop;
use super::xsettings::Watch;

/// Keysym of F1 (X11's keysymdef.h); the others follow it.
const F1: u32 = 0xffbe;

/// A window and what is around it.
pub(super) struct Surroundings {
    connection: RustConnection,
    window: u32,
    keys: HostKeys,
    watch: Option<Watch>,
}

impl Surroundings {
    /// Of a window of X11; `changed` asks it for a frame.
    pub fn of(window: &impl HasWindowHandle, changed: impl Fn() + Send + 'static) -> Option<Self> {
        let RawWindowHandle::Xlib(handle) = window.window_handle().ok()?.as_raw() else { return None };
        let (connection, _) = x11rb::connect(None).ok()?;
        let window = u32::try_from(handle.window).ok()?;
        Some(Self { connection, window, keys: HostKeys::default(), watch: Watch::new(changed).ok() })
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

    /// Sends those keys on that the editor has no use for.
    pub fn give_back(&mut self, events: &[Event], typing: bool) {
        for event in events {
            if let Some((key, pressed, modifiers)) = self.keys.told(event, typing) {
                // The host has the keyboard again after a click of its own, so a key that is lost is no harm.
                let _ = self.send(keysym(key), pressed, modifiers);
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

/// Keysyms of Latin letters are their codes.
fn keysym(key: HostKey) -> u32 {
    match key {
        HostKey::Character(character) => u32::from(character),
        HostKey::Function(number) => F1 + number - 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From X11's keysymdef.h.
    #[test]
    fn keysyms_are_those_of_x11() {
        let keys =
            [HostKey::Character(' '), HostKey::Character('r'), HostKey::Function(5), HostKey::Function(12)];
        assert_eq!(keys.map(keysym), [0x20, 0x72, 0xffc2, 0xffc9]);
    }
}
