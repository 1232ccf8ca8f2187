//! A host's window and its loop, and somebody at mouse and keyboard.

use std::cell::RefCell;
use std::ffi::c_void;
use std::mem::take;
use std::ptr::{null, null_mut};
use std::time::{Duration, Instant};

use windows_sys::Win32::Foundation::{HWND, LPARAM, LRESULT, POINT, WPARAM};
use windows_sys::Win32::Graphics::Gdi::ClientToScreen;
use windows_sys::Win32::System::LibraryLoader::GetModuleHandleW;
use windows_sys::Win32::UI::Input::KeyboardAndMouse::{
    GetFocus, INPUT, INPUT_0, INPUT_KEYBOARD, INPUT_MOUSE, KEYBDINPUT, KEYEVENTF_KEYUP, MAPVK_VK_TO_VSC,
    MOUSEEVENTF_LEFTDOWN, MOUSEEVENTF_LEFTUP, MOUSEINPUT, MapVirtualKeyW, SendInput,
};
use windows_sys::Win32::UI::WindowsAndMessaging::{
    AdjustWindowRect, CreateWindowExW, DefWindowProcW, DestroyWindow, DispatchMessageW, MSG, PM_REMOVE,
    PeekMessageW, RegisterClassW, SetCursorPos, SetForegroundWindow, TranslateMessage, WM_CHAR, WM_KEYDOWN,
    WM_KEYUP, WM_SYSKEYDOWN, WM_SYSKEYUP, WNDCLASSW, WS_CLIPCHILDREN, WS_OVERLAPPEDWINDOW, WS_VISIBLE,
};

/// Longer than some frames of a window drawn in software.
const REST: Duration = Duration::from_millis(400);
const MOST: Duration = Duration::from_secs(60);

thread_local! {
    /// Messages of keys to the host's window, with the key or the character.
    static KEYS: RefCell<Vec<(u32, usize)>> = const { RefCell::new(Vec::new()) };
}

pub struct Desk {
    window: HWND,
}

impl Desk {
    /// A window with so much room in it.
    pub fn new((width, height): (u16, u16)) -> Self {
        let name: Vec<u16> = "Host\0".encode_utf16().collect();
        let style = WS_OVERLAPPEDWINDOW | WS_CLIPCHILDREN | WS_VISIBLE;
        // SAFETY: pointers are to what lives until the call is over; the class is of a procedure of the right kind.
        unsafe {
            let instance = GetModuleHandleW(null());
            let class = WNDCLASSW {
                lpfnWndProc: Some(procedure),
                hInstance: instance,
                lpszClassName: name.as_ptr(),
                ..std::mem::zeroed()
            };
            assert_ne!(RegisterClassW(&class), 0);
            let mut room = std::mem::zeroed();
            AdjustWindowRect(&mut room, style, 0);
            let width = i32::from(width) + room.right - room.left;
            let height = i32::from(height) + room.bottom - room.top;
            let window = CreateWindowExW(
                0,
                name.as_ptr(),
                name.as_ptr(),
                style,
                0,
                0,
                width,
                height,
                null_mut(),
                null_mut(),
                instance,
                null(),
            );
            assert!(!window.is_null());
            SetForegroundWindow(window);
            Self { window }
        }
    }

    pub fn window(&self) -> *mut c_void {
        self.window
    }

    /// Whether the keyboard is the host's window's.
    pub fn has_focus(&self) -> bool {
        // SAFETY: it takes nothing.
        unsafe { GetFocus() == self.window }
    }

    /// Messages of keys that the host's window has had since the last time.
    pub fn keys(&self) -> Vec<(u32, usize)> {
        KEYS.with_borrow_mut(take)
    }

    /// At a place of the window.
    pub fn click(&mut self, (x, y): (i16, i16)) {
        let mut at = POINT { x: x.into(), y: y.into() };
        // SAFETY: the point lives until the call is over.
        unsafe {
            ClientToScreen(self.window, &mut at);
            SetCursorPos(at.x, at.y);
        }
        self.rest();
        for flags in [MOUSEEVENTF_LEFTDOWN, MOUSEEVENTF_LEFTUP] {
            let mouse = MOUSEINPUT { dx: 0, dy: 0, mouseData: 0, dwFlags: flags, time: 0, dwExtraInfo: 0 };
            send(INPUT { r#type: INPUT_MOUSE, Anonymous: INPUT_0 { mi: mouse } });
            self.rest();
        }
    }

    /// Keys that go down one after the other, and up again the other way round.
    pub fn press(&mut self, keys: &[u16]) {
        for (key, flags) in
            keys.iter().map(|key| (key, 0)).chain(keys.iter().rev().map(|key| (key, KEYEVENTF_KEYUP)))
        {
            // SAFETY: it takes any number.
            let scan_code = unsafe { MapVirtualKeyW((*key).into(), MAPVK_VK_TO_VSC) };
            let scan_code = u16::try_from(scan_code).unwrap();
            let key = KEYBDINPUT { wVk: *key, wScan: scan_code, dwFlags: flags, time: 0, dwExtraInfo: 0 };
            send(INPUT { r#type: INPUT_KEYBOARD, Anonymous: INPUT_0 { ki: key } });
            self.turn();
        }
        self.rest();
    }

    /// As a host's loop does.
    fn turn(&mut self) {
        // SAFETY: the message lives longer than the calls.
        unsafe {
            let mut message: MSG = std::mem::zeroed();
            while PeekMessageW(&mut message, null_mut(), 0, 0, PM_REMOVE) != 0 {
                TranslateMessage(&message);
                DispatchMessageW(&message);
            }
        }
    }

    /// Lets time pass.
    pub fn rest(&mut self) {
        let begin = Instant::now();
        while begin.elapsed() < REST {
            self.turn();
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    #[track_caller]
    pub fn until(&mut self, what: &str, mut is_so: impl FnMut(&mut Self) -> bool) {
        let begin = Instant::now();
        while !is_so(self) {
            assert!(begin.elapsed() < MOST, "not: {what}");
            self.rest();
        }
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        // SAFETY: it is this thread's.
        unsafe { DestroyWindow(self.window) };
    }
}

fn send(input: INPUT) {
    let size = i32::try_from(size_of::<INPUT>()).unwrap();
    // SAFETY: one input, of the size that is given.
    assert_eq!(unsafe { SendInput(1, &input, size) }, 1);
}

unsafe extern "system" fn procedure(window: HWND, message: u32, key: WPARAM, more: LPARAM) -> LRESULT {
    if let WM_KEYDOWN | WM_KEYUP | WM_SYSKEYDOWN | WM_SYSKEYUP | WM_CHAR = message {
        KEYS.with_borrow_mut(|keys| keys.push((message, key)));
    }
    // SAFETY: what the system has given.
    unsafe { DefWindowProcW(window, message, key, more) }
}
