//! What the framework leaves undone on Windows, where a click gives a window the keyboard and a hook takes all of its keys before the host's
//! loop sees them: those that are not the editor's go on to the host's window, and from there through the host's loop.

use egui::{Event, Modifiers};
use raw_window_handle::{HasWindowHandle, RawWindowHandle};
use windows_sys::Win32::Foundation::HWND;
use windows_sys::Win32::UI::Input::KeyboardAndMouse::{MAPVK_VK_TO_VSC, MapVirtualKeyW, VK_F1};
use windows_sys::Win32::UI::WindowsAndMessaging::{
    GetParent, PostMessageW, WM_KEYDOWN, WM_KEYUP, WM_SYSKEYDOWN, WM_SYSKEYUP,
};

use super::host_keys::{HostKey, HostKeys};

/// Bits of a key's message beside its scan code (Windows' "Keystroke message flags"): once, with Alt, it was down, it comes up.
const ONCE: isize = 1;
const WITH_ALT: isize = 1 << 29;
const WAS_DOWN: isize = 1 << 30;
const COMES_UP: isize = 1 << 31;

/// The host's window around one of ours.
pub(super) struct Parent {
    /// Of ours; a handle, which is no pointer to anything here.
    window: isize,
    keys: HostKeys,
}

impl Parent {
    /// Of a window of Windows.
    pub fn of(window: &impl HasWindowHandle) -> Option<Self> {
        let RawWindowHandle::Win32(handle) = window.window_handle().ok()?.as_raw() else { return None };
        Some(Self { window: handle.hwnd.get(), keys: HostKeys::default() })
    }

    /// Sends those keys on that the editor has no use for.
    pub fn give_back(&mut self, events: &[Event], typing: bool) {
        for event in events {
            if let Some((key, pressed, modifiers)) = self.keys.told(event, typing) {
                self.send(key, pressed, modifiers);
            }
        }
    }

    fn send(&self, key: HostKey, pressed: bool, modifiers: Modifiers) {
        let key = virtual_key(key);
        let with_alt = modifiers.alt && !modifiers.ctrl;
        let message = match (with_alt, pressed) {
            (false, true) => WM_KEYDOWN,
            (false, false) => WM_KEYUP,
            (true, true) => WM_SYSKEYDOWN,
            (true, false) => WM_SYSKEYUP,
        };
        // SAFETY: it takes any number.
        let scan_code = unsafe { MapVirtualKeyW(key, MAPVK_VK_TO_VSC) } as isize & 0xff;
        let flags = [(with_alt, WITH_ALT), (!pressed, WAS_DOWN | COMES_UP)];
        let flags = flags.into_iter().filter_map(|(is_so, flag)| is_so.then_some(flag)).sum::<isize>();
        // SAFETY: it takes any handle, and gives null for one that is no window's or whose window has no parent.
        let parent = unsafe { GetParent(self.window as HWND) };
        if !parent.is_null() {
            // A key that is lost is no harm: after a click of its own the host has the keyboard again.
            // SAFETY: what is posted has no pointers, and a handle whose window is gone meanwhile is refused.
            unsafe { PostMessageW(parent, message, key as usize, ONCE | scan_code << 16 | flags) };
        }
    }
}

/// Those of letters and the space bar are their capitals' codes.
fn virtual_key(key: HostKey) -> u32 {
    match key {
        HostKey::Character(character) => u32::from(character.to_ascii_uppercase()),
        HostKey::Function(number) => u32::from(VK_F1) + number - 1,
    }
}
