//! What is asked, what is answered and what was heard, without a terminal and without sound: nothing sounds before the cautions are
//! confirmed, the sweep begins at [`START_DB`] and rises only after a yes, and all recordings that are kept are of one level.

use super::heard::Heard;
use super::steps::Step;
use super::trouble::{Doubt, Fault, Trouble};

/// Where the sweep begins, in dB of full scale: it is never louder unless that was asked and answered with yes.
pub const START_DB: f64 = -40.0;
/// The loudest sweep, in dB of full scale.
pub const MOST_DB: f64 = -10.0;
/// The most that one yes adds, in dB.
const MOST_RAISE_DB: f64 = 20.0;
/// A raise of less is not worth a question, in dB.
const LEAST_RAISE_DB: f64 = 3.0;
/// What a sweep that clips is lowered by, in dB.
const LOWER_DB: f64 = 10.0;

/// What happens next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Next {
    /// A question for the person.
    Ask(Question),
    /// The sweep sounds and is recorded; [`Dialogue::hear`] takes what came of it.
    Sound { step: Step, level_db: f64 },
    /// All steps are recorded.
    Done,
    /// The person left.
    Left,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Question {
    /// Whether all that may be hurt is off.
    Cautions,
    /// To plug what the step needs, and say so; `kept` if there is a recording of it that is in doubt and may be kept.
    Plug { step: Step, kept: bool },
    /// Whether the sweep may be louder; all steps begin again if there are recordings at the old level.
    Raise { by_db: f64, to_db: f64, begins_again: bool },
}

/// What is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// Enter.
    Enter,
    Yes,
    No,
    /// Keep the recording that is in doubt.
    Keep,
    /// Begin again with the first step.
    Again,
    /// Leave.
    Quit,
}

impl Answer {
    /// As it is typed; none if it is nothing that is ever asked for.
    pub fn typed(line: &str) -> Option<Self> {
        Some(match line.trim().to_lowercase().as_str() {
            "" => Self::Enter,
            "y" | "yes" => Self::Yes,
            "n" | "no" => Self::No,
            "k" | "keep" => Self::Keep,
            "b" | "begin" => Self::Again,
            "q" | "quit" => Self::Quit,
            _ => return None,
        })
    }
}

/// Where the dialogue is. `T` is what a recording is kept as.
#[derive(Debug)]
pub struct Dialogue<T> {
    steps: &'static [Step],
    through_resistor: bool,
    now: Now,
    level_db: f64,
    kept: Vec<(Heard, T)>,
    in_doubt: Option<(Heard, T)>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Now {
    Cautions,
    Plug,
    Raise { by_db: f64 },
    Sounding,
    Left,
}

impl<T> Dialogue<T> {
    /// At its beginning. Through a resistor some things cannot be that can through a capacitor.
    pub fn new(steps: &'static [Step], through_resistor: bool) -> Self {
        let (kept, in_doubt) = (Vec::new(), None);
        Self { steps, through_resistor, now: Now::Cautions, level_db: START_DB, kept, in_doubt }
    }

    /// What is to be done; it stays until something is answered or heard.
    pub fn next(&self) -> Next {
        let Some(step) = self.steps.get(self.kept.len()).copied() else { return Next::Done };
        match self.now {
            Now::Left => Next::Left,
            Now::Cautions => Next::Ask(Question::Cautions),
            Now::Plug => Next::Ask(Question::Plug { step, kept: self.in_doubt.is_some() }),
            Now::Raise { by_db } => {
                let to_db = self.level_db + by_db;
                Next::Ask(Question::Raise { by_db, to_db, begins_again: !self.kept.is_empty() })
            }
            Now::Sounding => Next::Sound { step, level_db: self.level_db },
        }
    }

    /// Takes an answer; false if it is none to what was asked, which is then asked again.
    pub fn answer(&mut self, answer: Answer) -> bool {
        let Next::Ask(_) = self.next() else { return false };
        match (self.now, answer) {
            (_, Answer::Quit) => self.now = Now::Left,
            (Now::Cautions, Answer::Enter | Answer::Yes) => self.now = Now::Plug,
            (Now::Plug, Answer::Enter) => {
                self.in_doubt = None;
                self.now = Now::Sounding;
            }
            (Now::Plug, Answer::Again) => self.begin_again(),
            (Now::Plug, Answer::Keep) => return self.keep(),
            (Now::Raise { by_db }, Answer::Yes) => {
                self.level_db = (self.level_db + by_db).min(MOST_DB);
                self.begin_again();
            }
            (Now::Raise { .. }, Answer::No | Answer::Enter) => self.now = Now::Plug,
            _ => return false,
        }
        true
    }

    /// Takes what came of the sweep, and says what is wrong with it.
    ///
    /// # Errors
    /// If it is not as it should be: the step is then repeated, and where that is possible, kept in doubt.
    pub fn hear(&mut self, heard: Result<(Heard, T), Fault>) -> Result<(), Trouble> {
        let Next::Sound { step, .. } = self.next() else { return Ok(()) };
        self.now = Now::Plug;
        let (heard, recording) = heard.map_err(Trouble::Fault)?;
        let trouble = self.trouble(step, &heard);
        match trouble {
            None => self.kept.push((heard, recording)),
            Some(Trouble::Doubt(_)) => self.in_doubt = Some((heard, recording)),
            _ => {}
        }
        match trouble {
            Some(Trouble::Fault(Fault::Clipped { lowered: true })) => {
                self.level_db = (self.level_db - LOWER_DB).max(START_DB);
            }
            Some(Trouble::Doubt(Doubt::Quiet { .. })) => {
                if let Some(by_db) = self.raise(&heard) {
                    self.now = Now::Raise { by_db };
                }
            }
            _ => {}
        }
        trouble.map_or(Ok(()), Err)
    }

    /// The recordings, in the order of the steps, once all are there.
    pub fn recordings(self) -> Vec<T> {
        self.kept.into_iter().map(|(_, recording)| recording).collect()
    }

    fn trouble(&self, step: Step, heard: &Heard) -> Option<Trouble> {
        let before: Vec<Heard> = self.kept.iter().map(|(heard, _)| *heard).collect();
        let can_be_lowered = self.kept.is_empty() && self.level_db > START_DB;
        heard
            .fault(can_be_lowered)
            .or_else(|| step.impossible(self.through_resistor, &before, heard))
            .map(Trouble::Fault)
            .or_else(|| step.doubt(self.through_resistor, &before, heard).map(Trouble::Doubt))
    }

    /// By how much the sweep may be raised after a quiet recording, in dB.
    fn raise(&self, heard: &Heard) -> Option<f64> {
        let loudest_db = self.kept.iter().fold(heard.peak_db, |most, (heard, _)| most.max(heard.peak_db));
        let room_db = (MOST_DB - self.level_db).min(Heard::AIM_DB - loudest_db).min(MOST_RAISE_DB).round();
        (room_db >= LEAST_RAISE_DB).then_some(room_db)
    }

    fn keep(&mut self) -> bool {
        let kept = self.in_doubt.take();
        let is_kept = kept.is_some();
        self.kept.extend(kept);
        is_kept
    }

    fn begin_again(&mut self) {
        self.kept.clear();
        self.in_doubt = None;
        self.now = Now::Plug;
    }
}

#[cfg(test)]
mod tests;
