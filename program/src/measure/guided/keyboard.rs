use std::io::{BufRead, IsTerminal, Read};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::time::Duration;

use super::dialogue::Answer;
use crate::error::Failure;
use crate::interrupt;

/// The longest line that is read; a longer one is several.
const LONGEST: u64 = 256;

/// Lines that are typed, read aside, since a read that waits does not see Ctrl-C.
pub struct Keyboard {
    lines: Receiver<String>,
    is_person: bool,
}

impl Keyboard {
    pub fn new() -> Self {
        let (typed, lines) = mpsc::sync_channel(16);
        let is_person = std::io::stdin().is_terminal();
        std::thread::spawn(move || {
            let mut stdin = std::io::stdin().lock();
            let mut line = Vec::new();
            while stdin.by_ref().take(LONGEST).read_until(b'\n', &mut line).is_ok_and(|bytes| bytes > 0) {
                if typed.send(String::from_utf8_lossy(&line).into_owned()).is_err() {
                    break;
                }
                line.clear();
            }
        });
        Self { lines, is_person }
    }

    /// Forgets what was typed before it was asked for, so that an impatient Enter starts nothing.
    pub fn forget(&self) {
        if self.is_person {
            self.lines.try_iter().for_each(drop);
        }
    }

    /// The next answer; none if it is nothing that is ever asked for. At the end of what is typed the person has left.
    ///
    /// # Errors
    /// If the program is asked to end.
    pub fn answer(&self) -> Result<Option<Answer>, Failure> {
        loop {
            interrupt::check()?;
            match self.lines.recv_timeout(Duration::from_millis(50)) {
                Ok(line) => return Ok(Answer::typed(&line)),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return Ok(Some(Answer::Quit)),
            }
        }
    }
}
