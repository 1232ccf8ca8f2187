//! A hand that knows when the window has taken in what it did: not by waiting, but by the space bar, which is the host's and comes back
//! from every window that does not type.

use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::display::{Display, ENTER};
use crate::places::At;

const SPACE: u32 = 0x20;
/// One that has not come back for so long may have been swallowed.
const AGAIN: Duration = Duration::from_millis(1_500);
/// No machine is that slow.
const LONGEST: Duration = Duration::from_secs(20);
/// Between two looks.
const LOOK: Duration = Duration::from_millis(2);
/// Frames within which a window opens a field.
const FRAMES: usize = 4;
/// In which a window that draws whatever has changed draws so many.
const MANY: Duration = Duration::from_millis(1_000);

/// What goes on meanwhile: sound, and the host's loop.
pub type Meanwhile<'a> = &'a mut dyn FnMut();

#[derive(Clone, Copy)]
pub struct Hand<'a> {
    display: &'a Display,
    /// The host's window.
    window: u32,
}

impl<'a> Hand<'a> {
    /// In a window of the host's, whose editor is drawn.
    pub fn new(display: &'a Display, window: u32) -> Self {
        display.watch_keys(window);
        display.watch_drawing(window);
        Self { display, window }
    }

    /// Until all that was done before has been taken in: the second space bar is in a later frame than the first, whose frame is then over.
    pub fn settle(&self, meanwhile: Meanwhile) {
        (0..2).for_each(|_| self.frame(meanwhile));
    }

    /// Until a frame has taken in what was done before. A space bar that a field has swallowed while it closed is pressed again.
    fn frame(&self, meanwhile: Meanwhile) {
        let begin = Instant::now();
        let mut pressed = 1;
        self.display.key(SPACE);
        while !self.comes_back(meanwhile) {
            assert!(begin.elapsed() < LONGEST, "the space bar does not come back");
            self.display.key(SPACE);
            pressed += 1;
        }
        // One that was only late would be taken for the next.
        for _ in 1..pressed {
            self.comes_back(meanwhile);
        }
    }

    fn comes_back(&self, meanwhile: Meanwhile) -> bool {
        let begin = Instant::now();
        while begin.elapsed() < AGAIN {
            if self.display.keys_of(self.window).contains(&SPACE) {
                return true;
            }
            meanwhile();
            sleep(LOOK);
        }
        false
    }

    /// Until a field has opened or closed, which keeps all keys: some frames, or what would be many.
    pub fn redrawn(&self, meanwhile: Meanwhile) {
        let begin = Instant::now();
        let mut frames = 0;
        while frames < FRAMES && begin.elapsed() < MANY {
            meanwhile();
            sleep(LOOK);
            frames += usize::from(self.display.drawn(self.window) > 0);
        }
    }

    pub fn number(&self, number: usize) {
        self.display.write(&number.to_string());
    }

    pub fn undo(&self) {
        self.display.control_key(u32::from('z'));
    }

    pub fn redo(&self) {
        self.display.control_shift_key(u32::from('z'));
    }

    pub fn click(&self, at: At) {
        self.display.click(at);
    }

    /// Up and to the right, or back, a frame each.
    pub fn drag(&self, (x, y): At, rises: bool, frames: i16, meanwhile: Meanwhile) {
        self.display.point((x, y));
        self.display.hold();
        for frame in 1..=frames {
            let way = 3 * if rises { frame } else { -frame };
            self.display.point((x + way, y - way));
            self.frame(meanwhile);
        }
        self.display.release();
    }

    /// In the place of what stands there.
    pub fn write(&self, text: &str) {
        self.display.control_key(u32::from('a'));
        text.chars().for_each(|letter| match letter {
            '\n' => self.display.key(ENTER),
            letter => self.display.key(u32::from(letter)),
        });
    }

    pub fn enter(&self) {
        self.display.key(ENTER);
    }
}
