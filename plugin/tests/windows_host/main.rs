//! The editor's window in a host's window on Windows: a click gives it the keyboard, it uses its own keys, and the host gets the others.
#![cfg(all(feature = "editor", windows))]

mod desk;
#[path = "../editor/fake.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod fake;
#[path = "../host/mod.rs"]
mod host;
#[path = "../editor_host/plan.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod plan;

/// What the plan asks for.
mod display {
    pub const SIZE: (u16, u16) = (960, 640);
}

use desk::Desk;
use host::Host;
use plan::Plan;
use windows_sys::Win32::UI::Input::KeyboardAndMouse::{
    VK_CONTROL, VK_ESCAPE, VK_F1, VK_OEM_2, VK_RETURN, VK_SHIFT, VK_SPACE, VK_TAB,
};
use windows_sys::Win32::UI::WindowsAndMessaging::{WM_CHAR, WM_KEYDOWN, WM_KEYUP};

const HEARD: &str = "Heard setup";
const COMBO: &str = "combo, A1";
const COMBO_INPUT: &str = "combo: input";
const COMBO_OHMS: &str = "Setup 2 load resistance";

#[test]
fn keys_go_where_they_are_used() {
    let mut desk = Desk::new(display::SIZE);
    let mut host = Host::new();
    host.open_editor_on_windows(desk.window());
    let mut plan = Plan::new();
    let combo = plan.click(COMBO);
    desk.until("a click is heard", |desk| {
        desk.click(combo);
        host.text(HEARD) == "Setup 2"
    });
    assert!(!desk.has_focus(), "the editor has the keyboard");
    let _ = desk.keys();
    // Its own.
    for (key, text) in [
        ('1', "Setup 1"),
        ('2', "Setup 2"),
        ('3', "Setup 3"),
        ('4', "Setup 4"),
        ('5', "Setup 5"),
        ('6', "Setup 6"),
        ('9', "Setup 5"),
        ('0', "As recorded"),
    ] {
        desk.press(&[key as u16]);
        desk.until(text, |_| host.text(HEARD) == text);
    }
    for keys in [&[VK_SHIFT, VK_OEM_2][..], &[VK_ESCAPE], &[VK_F1], &[VK_ESCAPE], &[VK_TAB]] {
        desk.press(keys);
    }
    assert_eq!(desk.keys(), [], "those are the editor's");
    // The host's: each once, and the character that its loop makes of it.
    for (key, character) in [(VK_SPACE, ' '), (u16::from(b'R'), 'r'), (VK_SPACE, ' ')] {
        desk.press(&[key]);
        let mut wanted =
            [(WM_KEYDOWN, usize::from(key)), (WM_KEYUP, usize::from(key)), (WM_CHAR, character as usize)];
        wanted.sort_unstable();
        desk.rest();
        let mut told = desk.keys();
        told.sort_unstable();
        assert_eq!(told, wanted, "key {key:#x}");
    }
    assert_eq!(host.text(HEARD), "As recorded", "and presses nothing");
    // Where text is typed they are its letters.
    desk.click(plan.at(COMBO));
    desk.until("combo", |_| host.text(HEARD) == "Setup 2");
    desk.click(plan.at(COMBO_INPUT));
    for keys in [&[u16::from(b'1')][..], &[VK_SPACE], &[VK_SHIFT, u16::from(b'M')], &[VK_RETURN]] {
        desk.press(keys);
    }
    desk.until("1 MΩ", |_| host.text(COMBO_OHMS) == "1 MΩ");
    desk.press(&[VK_CONTROL, u16::from(b'Z')]);
    desk.until("taken back", |_| host.text(COMBO_OHMS) == "470 kΩ");
    assert_eq!(desk.keys(), [], "those are the field's");
    host.close_editor();
}
