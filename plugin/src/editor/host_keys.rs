//! Keys that are the host's, though a click has given the window the keyboard.

use egui::{Event, Key, Modifiers};

/// The space bar, letters and function keys, but for what the editor's help lists and the clipboard's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HostKey {
    /// A small letter of ASCII, or a space.
    Character(char),
    /// F2 to F12.
    Function(u32),
}

impl HostKey {
    fn of(key: Key, modifiers: Modifiers) -> Option<Self> {
        if key == Key::Space {
            return Some(Self::Character(' '));
        }
        let name = key.name();
        if let Some(number) = name.strip_prefix('F').and_then(|number| number.parse().ok()) {
            return (2..=12).contains(&number).then_some(Self::Function(number));
        }
        let mut letters = name.chars();
        let letter = letters.next().filter(char::is_ascii_alphabetic)?;
        let ours = modifiers.command && "ZCXVA".contains(letter);
        (letters.next().is_none() && !ours).then(|| Self::Character(letter.to_ascii_lowercase()))
    }
}

/// Those that the host has been told are down. Some hosts send what they get to the window again: that goes round once.
#[derive(Debug, Default)]
pub(super) struct HostKeys {
    down: Vec<HostKey>,
}

impl HostKeys {
    /// What the host is to be told of an event: whether a key of its own is pressed or let go. While text is typed here nothing is pressed
    /// there.
    pub fn told(&mut self, event: &Event, typing: bool) -> Option<(HostKey, bool, Modifiers)> {
        let Event::Key { key, pressed, modifiers, .. } = *event else { return None };
        let key = HostKey::of(key, modifiers)?;
        let is_down = self.down.contains(&key);
        if is_down == pressed || pressed && typing {
            return None;
        }
        self.down.retain(|one| *one != key);
        self.down.extend(pressed.then_some(key));
        Some((key, pressed, modifiers))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_editor_uses_stays() {
        let none = Modifiers::NONE;
        let character = |character| Some(HostKey::Character(character));
        for (key, modifiers, host) in [
            (Key::Space, none, character(' ')),
            (Key::Space, Modifiers::CTRL, character(' ')),
            (Key::R, none, character('r')),
            (Key::S, Modifiers::COMMAND, character('s')),
            (Key::Z, Modifiers::COMMAND, None),
            (Key::Z, none, character('z')),
            (Key::F1, none, None),
            (Key::F5, none, Some(HostKey::Function(5))),
            (Key::F12, none, Some(HostKey::Function(12))),
            (Key::Num3, none, None),
            (Key::Questionmark, none, None),
            (Key::Tab, none, None),
            (Key::Escape, none, None),
            (Key::ArrowUp, none, None),
        ] {
            assert_eq!(HostKey::of(key, modifiers), host, "{key:?}");
        }
    }

    /// Once for each time that it is pressed, and never let go before; what goes down before a text is typed comes up while it is.
    #[test]
    fn a_key_goes_down_and_up_once() {
        let event = |pressed| Event::Key {
            key: Key::Space,
            physical_key: None,
            pressed,
            repeat: false,
            modifiers: Modifiers::NONE,
        };
        let mut keys = HostKeys::default();
        let steps = [
            (false, false, false),
            (true, true, false),
            (true, false, true),
            (true, false, false),
            (false, true, true),
            (false, false, false),
            (true, false, true),
        ];
        for (step, (pressed, typing, told)) in steps.into_iter().enumerate() {
            let space = (HostKey::Character(' '), pressed, Modifiers::NONE);
            assert_eq!(keys.told(&event(pressed), typing), told.then_some(space), "{step}");
        }
    }
}
